//! What a payment provider's file tells of holds and captures, over HTTP.

use handsel_tests::{Answer, Client, Seed, depot, id, money, on_each_database, staff};
use reqwest::Method;
use serde_json::{Value, json};

async fn send(client: &Client, columns: &Value, file: String) -> Answer {
    let request = client.request(Method::POST, "/payments/events").query(&[("columns", columns.to_string())]);
    client.send(request.header("content-type", "text/csv").body(file)).await
}

fn columns() -> Value {
    json!({
        "currency": "GBP", "separator": ",", "decimal": ".", "event": "event", "hire": "order", "kind": "type",
        "kinds": {"reserved": "hold_placed", "taken": "captured", "given back": "released"},
        "pass_over": ["fee"],
        "amount": "amount", "reference": "hold", "at": "when", "hold_ends_at": "until",
    })
}

const HEAD: &str = "event,order,type,amount,hold,when,until\n";

fn told(answer: &Value) -> [u64; 4] {
    ["lines", "recorded", "known", "passed"].map(|name| answer[name].as_u64().unwrap())
}

async fn ledger(seed: &Seed, hire: &str) -> Value {
    seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200)
}

on_each_database! {
    async fn events_become_movements_once_and_one_refused_stops_no_other(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1001").await;
        let _ = seed.accept(&hire, "fuel").await;
        let owed = ledger(&seed, &hire).await["owed"]["minor"].as_i64().unwrap();
        assert!(owed > 1000, "{owed}");
        assert!(owed < 140_000, "{owed}");
        let office = seed.staff(&world, "olga", "office").await;
        let file = format!(
            "{HEAD}ev-1,F-1001,reserved,\"1,500.00\",H-1,2026-03-28T09:30:00Z,2026-04-20T00:00:00Z\n\
             ev-2,F-1001,fee,1.20,H-1,,\n\
             ev-3,F-1001,taken,1400.00,H-1,,\n\
             ev-4,F-9999,taken,5.00,H-1,,\n\
             ev-5,F-1001,taken,10.00,H-1,2026-04-04T12:00:00+02:00,\n\
             ev-6,F-1001,given back,5.00,H-1,2030-01-01T00:00:00Z,\n\
             ev-7,F-1001,taken,1.00,4539578763621486,,\n"
        );
        let first = send(&office, &columns(), file.clone()).await.expect(200);
        assert_eq!(told(&first), [7, 2, 0, 1], "{first}");
        let refused: Vec<(u64, &str)> = first["refused"].as_array().unwrap().iter()
            .map(|r| (r["line"].as_u64().unwrap(), r["problem"]["code"].as_str().unwrap())).collect();
        assert_eq!(refused, [(4, "movement_refused"), (5, "not_found"), (7, "values_invalid"), (8, "values_invalid")]);
        assert_eq!(first["refused"][0]["problem"]["reason"], "beyond_owed");
        assert_eq!(first["refused"][3]["problem"]["errors"][0]["pointer"], "/reference");

        let now = ledger(&seed, &hire).await;
        assert_eq!((&now["balances"]["held"], &now["balances"]["received"]), (&money(149_000), &money(1000)));
        let movements = now["movements"].as_array().unwrap();
        assert_eq!(movements.len(), 2);
        // Its own time, not that of reading in.
        assert_eq!(movements[0]["at"], "2026-03-28T09:30:00Z");
        assert_eq!(movements[0]["hold_ends_at"], "2026-04-20T00:00:00Z");
        assert_eq!(movements[1]["at"], "2026-04-04T10:00:00Z");

        // The same file, and one that overlaps it.
        let again = send(&office, &columns(), file).await.expect(200);
        assert_eq!(told(&again), [7, 0, 2, 1]);
        let longer = format!("{HEAD}ev-5,F-1001,taken,10.00,H-1,2026-04-04T12:00:00+02:00,\nev-8,F-1001,given back,90,H-1,,\n");
        assert_eq!(told(&send(&office, &columns(), longer).await.expect(200)), [2, 1, 1, 0]);
        // One mark, another amount: that is not the same event.
        let other = format!("{HEAD}ev-8,F-1001,given back,91,H-1,,\n");
        let other = send(&office, &columns(), other).await.expect(200);
        assert_eq!(other["refused"][0]["problem"]["code"], "id_taken");
        assert_eq!(ledger(&seed, &hire).await["balances"]["held"], money(140_000));
    }

    async fn a_file_that_cannot_be_read_changes_nothing_and_says_where(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1001").await;
        let good = "ev-1,F-1001,reserved,100.00,H-1,,\n";
        for (file, reason, at) in [
            (format!("{HEAD}{good}ev-2,F-1001,vanished,1.00,H-1,,\n"), "value_invalid", 3),
            (format!("{HEAD}{good}ev-2,F-1001,taken,1.001,H-1,,\n"), "value_invalid", 3),
            (format!("{HEAD}{good},F-1001,taken,1.00,H-1,,\n"), "value_missing", 3),
            (good.to_owned(), "column_missing", 1),
            (format!("{HEAD}{}", good.repeat(2001)), "too_large", 2002),
        ] {
            let answer = send(&seed.manager, &columns(), file).await.expect(422);
            assert_eq!((&answer["code"], &answer["reason"], &answer["at"]), (&json!("bank_file_refused"), &json!(reason), &json!(at)));
        }
        let large = send(&seed.manager, &columns(), "x".repeat(3 << 20)).await.expect(413);
        assert_eq!(large["code"], "body_too_large");
        let _ = send(&seed.manager, &json!({"event": "event"}), String::new()).await.expect(400);
        assert_eq!(ledger(&seed, &hire).await["movements"], json!([]));
    }

    async fn a_hire_of_another_depot_is_out_of_reach(world: World) {
        let seed = Seed::plant(&world).await;
        let _ = seed.hire("F-1001").await;
        let south = id();
        let _ = seed.manager.post("/depots", &depot(&south, "South", "Europe/Berlin")).await.expect(201);
        let _ = seed.manager.post("/staff", &staff(&id(), "sefa", "office", Some(&south))).await.expect(201);
        let elsewhere = world.sign_in("sefa@fernway.example").await;
        let file = format!("{HEAD}ev-1,F-1001,reserved,100.00,H-1,,\n");
        let answer = send(&elsewhere, &columns(), file).await.expect(200);
        assert_eq!(answer["refused"][0]["problem"]["code"], "not_found");
    }
}
