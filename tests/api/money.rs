//! The ledger when many reach for it at once, and what the database itself refuses.

use handsel_tests::{Seed, Walker, connect, id, money, on_each_database};
use sea_orm::ConnectionTrait;
use serde_json::{Value, json};

on_each_database! {
    async fn captures_at_once_never_exceed_the_hold_or_what_is_owed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let _ = seed.accept(&hire, "distance").await;
        let _ = seed.accept(&hire, "fuel").await;
        let path = format!("/hires/{hire}/movements");
        // 205.00 is owed, 100.00 is held: of twelve captures of 30.00 three fit.
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(10_000)});
        let _ = seed.manager.post_once(&path, id(), &hold).await.expect(200);
        let captures: Vec<_> = (0..12)
            .map(|_| json!({"id": id(), "kind": "captured", "means": "card", "amount": money(3000)}))
            .collect();
        let asked = captures.iter().map(|capture| seed.manager.post_once(&path, id(), capture));
        let answers = futures_util::future::join_all(asked).await;
        let done = answers.iter().filter(|a| a.status == 200).count();
        for refused in answers.iter().filter(|a| a.status != 200) {
            assert_eq!(refused.refused(422, "movement_refused")["reason"], "beyond_held");
        }
        assert_eq!(done, 3);
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!((&ledger["balances"]["held"], &ledger["balances"]["received"]), (&money(1000), &money(9000)));
    }

    async fn payments_at_once_never_exceed_what_is_owed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let _ = seed.accept(&hire, "distance").await;
        let path = format!("/hires/{hire}/movements");
        let payments: Vec<_> =
            (0..8).map(|_| json!({"id": id(), "kind": "paid", "means": "cash", "amount": money(10_000)})).collect();
        let asked = payments.iter().map(|payment| seed.manager.post_once(&path, id(), payment));
        let answers = futures_util::future::join_all(asked).await;
        assert_eq!(answers.iter().filter(|a| a.status == 200).count(), 1);
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!(ledger["outstanding"], money(5000));
    }

    async fn a_movement_that_makes_no_sense_is_told_why(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/movements");
        for (kind, means, amount, reason) in [
            ("hold_placed", "card", money(0), "not_positive"),
            ("hold_placed", "card", money(-5), "not_positive"),
            ("hold_placed", "none", money(5), "wrong_means"),
            ("released", "card", money(5), "beyond_held"),
            ("refunded", "card", money(5), "wrong_means"),
            ("charged_back", "card", money(5), "beyond_received"),
            ("paid", "cash", money(5), "beyond_owed"),
            ("hold_placed", "card", json!({"minor": 5, "currency": "EUR"}), "money"),
        ] {
            let movement = json!({"id": id(), "kind": kind, "means": means, "amount": amount});
            let problem = seed.manager.post_once(&path, id(), &movement).await.refused(422, "movement_refused");
            assert_eq!(problem["reason"], reason, "{kind} {means} {amount}");
        }
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!(ledger["movements"], json!([]));
    }

    async fn an_estimate_that_comes_later_opens_and_changes_its_own_line_only(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.out("F-1").await;
        world.clock.set("2026-04-04T12:30:00Z");
        let walk = Walker::start(&seed.manager, &hire, "return").await;
        // No price is listed for a dent.
        let dent = json!({
            "panel": "side_left", "kind": "dent", "size_mm": 120, "depth": "through_finish", "viewpoint": "left",
            "x": "0.25", "y": "0.5",
        });
        let _ = seed.manager.put(&format!("{}/marks/{}", walk.path, id()), &dent).await.expect(201);
        walk.usual_return().await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        for line in ["distance", "fuel"] {
            let _ = seed.accept(&hire, line).await;
        }
        let lines = |compared: &Value| {
            let lines = compared["lines"].as_array().unwrap().clone();
            let (estimated, others): (Vec<Value>, Vec<Value>) = lines.into_iter().partition(|l| l["estimated"] == true);
            assert_eq!(estimated.len(), 1, "{compared}");
            (estimated[0].clone(), others)
        };
        let path = format!("/hires/{hire}/comparison");
        let (waiting, others) = lines(&seed.manager.get(&path).await.expect(200));
        assert_eq!((&waiting["price"], others.len()), (&Value::Null, 2));
        assert!(others.iter().all(|l| l["state"] == "accepted"), "{others:?}");
        let open = seed.manager.post_once(&format!("/hires/{hire}/settlement"), id(), &json!({})).await;
        assert_eq!(open.refused(409, "lines_undecided")["lines"], json!([waiting["key"]]));
        // The workshop's word, and days later a better one: the others stand as they were decided, each time.
        for (day, minor) in [("2026-04-06T09:00:00Z", 30_000), ("2026-04-09T09:00:00Z", 24_000)] {
            world.clock.set(day);
            let estimate = json!({
                "id": id(), "line": waiting["key"], "verdict": "adjust", "amount": money(minor), "reason": "estimate of the workshop",
            });
            let decided = seed.manager.post_once(&format!("/hires/{hire}/decisions"), id(), &estimate).await.expect(200);
            let (now, still) = lines(&decided);
            assert_eq!((&now["state"], &now["amount"]), (&json!("adjusted"), &money(minor)));
            assert_eq!(still, others);
        }
    }

    async fn the_database_refuses_to_rewrite_money(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let _ = seed.accept(&hire, "fuel").await;
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(10_000)});
        let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &hold).await.expect(200);
        let db = connect(&world.database_url).await;
        for statement in [
            "UPDATE movement SET amount_minor = 1",
            "DELETE FROM movement",
            "UPDATE decision SET verdict = 'waive'",
            "DELETE FROM decision",
        ] {
            let refused = db.execute_unprepared(statement).await.unwrap_err().to_string();
            assert!(refused.contains("only ever added"), "{statement}: {refused}");
        }
        db.close().await.unwrap();
    }
}
