//! The same thing asked twice.

use handsel_tests::{Seed, depot, hire, id, money, on_each_database, staff, template, vehicle};
use serde_json::{Value, json};

on_each_database! {
    async fn the_same_id_with_the_same_content_is_answered_with_what_is_there(world: World) {
        let seed = Seed::plant(&world).await;
        let things = [
            ("/depots", depot(&id(), "South", "Europe/Berlin")),
            ("/staff", staff(&id(), "dan", "desk", None)),
            ("/vehicles", vehicle(&id(), "TEST 2", &seed.depot, &seed.template, &seed.tariff)),
            ("/hires", hire(&id(), "F-1", &seed.depot, &seed.vehicle)),
        ];
        for (path, thing) in things {
            let first = seed.manager.post(path, &thing).await.expect(201);
            assert_eq!(seed.manager.post(path, &thing).await.expect(200), first, "{path}");
            let mut other = thing.clone();
            let name = if path == "/hires" { "reference" } else { "name" };
            other[name] = json!("Other");
            let _ = seed.manager.post(path, &other).await.refused(409, "id_taken");
        }
        assert_eq!(seed.manager.post("/templates", &template(&seed.template)).await.status, 200);
        let mut other = template(&seed.template);
        other["title"]["en"] = json!("Bracken");
        let _ = seed.manager.post("/templates", &other).await.refused(409, "id_taken");
    }

    async fn what_is_unique_is_told_by_name(world: World) {
        let seed = Seed::plant(&world).await;
        seed.hire("F-1").await;
        let again = hire(&id(), "F-1", &seed.depot, &seed.vehicle);
        let _ = seed.manager.post("/hires", &again).await.refused(409, "reference_taken");
        let same_plate = vehicle(&id(), "TEST 1", &seed.depot, &seed.template, &seed.tariff);
        let _ = seed.manager.post("/vehicles", &same_plate).await.refused(409, "registration_taken");
        let mut same_mail = staff(&id(), "dan", "desk", None);
        same_mail["email"] = json!("Ada@Fernway.example");
        let _ = seed.manager.post("/staff", &same_mail).await.refused(409, "email_taken");
        let _ = seed.manager.post("/templates", &template(&id())).await.refused(409, "version_out_of_turn");
    }

    async fn a_movement_sent_again_is_recorded_once(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/movements");
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(100_000)});
        let _ = seed.manager.post(&path, &hold).await.refused(400, "idempotency_key_required");
        let first = seed.manager.post_once(&path, "hold-1", &hold).await;
        let again = seed.manager.post_once(&path, "hold-1", &hold).await;
        assert_eq!(first.expect(200), again.expect(200));
        assert_eq!(first.bytes, again.bytes);
        let mut larger = hold.clone();
        larger["amount"] = money(200_000);
        let _ = seed.manager.post_once(&path, "hold-1", &larger).await.refused(422, "idempotency_key_reused");
        // The same movement under another key is still the same movement.
        let other_key = seed.manager.post_once(&path, "hold-2", &hold).await.expect(200);
        assert_eq!(other_key["movements"].as_array().unwrap().len(), 1);
        let _ = seed.manager.post_once(&path, "hold-3", &larger).await.refused(409, "id_taken");
        // A key on another path is another request.
        let other = seed.hire("F-2").await;
        let elsewhere = seed.manager.post_once(&format!("/hires/{other}/movements"), "hold-1", &hold).await;
        let _ = elsewhere.refused(422, "idempotency_key_reused");
    }

    async fn many_at_once_with_one_key_are_done_once(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/movements");
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(100_000)});
        let asked = (0..8).map(|_| seed.manager.post_once(&path, "one key", &hold));
        let answers = futures_util::future::join_all(asked).await;
        let bodies: Vec<Value> = answers.iter().map(|a| a.expect(200)).collect();
        assert!(bodies.iter().all(|b| b == &bodies[0]));
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!(ledger["movements"].as_array().unwrap().len(), 1);
    }

    async fn a_refused_deed_does_not_use_up_its_key(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/movements");
        let take = json!({"id": id(), "kind": "released", "means": "card", "amount": money(100)});
        let _ = seed.manager.post_once(&path, "k", &take).await.refused(422, "movement_refused");
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(100)});
        let _ = seed.manager.post_once(&path, "h", &hold).await.expect(200);
        let _ = seed.manager.post_once(&path, "k", &take).await.expect(200);
    }

    async fn signing_again_is_answered_as_before_and_changes_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.both_sign().await;
        let path = format!("{}/sign", walk.path);
        let first = seed.manager.post_once(&path, "sign", &json!({})).await.expect(200);
        world.clock.pass(60);
        assert_eq!(seed.manager.post_once(&path, "sign", &json!({})).await.expect(200), first);
        let _ = seed.manager.post_once(&path, "another", &json!({})).await.refused(409, "inspection_closed");
    }
}
