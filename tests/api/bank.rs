//! Banks' files over HTTP: read in once, matched with the ledgers, the rest left to a person.

use handsel_tests::{Answer, Client, Seed, id, money, on_each_database};
use reqwest::Method;
use serde_json::{Value, json};
use std::path::Path;

fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/bank").join(name)).unwrap()
}

async fn send(client: &Client, name: &str, bytes: Vec<u8>, columns: Option<&Value>) -> Answer {
    let mut request = client.request(Method::PUT, &format!("/bank/imports/{}", id())).query(&[("name", name)]);
    if let Some(columns) = columns {
        request = request.query(&[("columns", columns.to_string())]);
    }
    client.send(request.header("content-type", "application/octet-stream").body(bytes)).await
}

/// Sends a file and waits until it is read in.
async fn read_in(client: &Client, name: &str, bytes: Vec<u8>, columns: Option<&Value>) -> Value {
    let begun = send(client, name, bytes, columns).await.expect(202);
    for _ in 0..400 {
        let now = client.get(&format!("/bank/imports/{}", begun["id"].as_str().unwrap())).await.expect(200);
        if now["state"] != "running" {
            return now;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("{begun} does not end");
}

async fn entries(client: &Client, state: &str) -> Vec<Value> {
    client.get(&format!("/bank/entries?state={state}")).await.expect(200)["items"].as_array().unwrap().clone()
}

fn english() -> Value {
    json!({
        "account": "GB33XXXX00000000000001", "currency": "GBP", "separator": ",", "decimal": ".",
        "date_format": "%d/%m/%Y", "booked_on": "Date", "amount": "Amount", "bank_reference": "Bank reference",
        "reference": "Reference", "party": "Name", "text": ["Details"],
    })
}

async fn movement(seed: &Seed, hire: &str, kind: &str, minor: i64, reference: Option<&str>) -> String {
    let movement = id();
    let body =
        json!({"id": movement, "kind": kind, "means": "transfer", "amount": money(minor), "reference": reference});
    let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &body).await.expect(200);
    movement
}

on_each_database! {
    async fn entries_are_matched_by_reference_then_by_amount_and_date_and_the_rest_is_left(world: World) {
        let seed = Seed::plant(&world).await;
        let (one, two) = (seed.hire("F-1001").await, seed.hire("F-1002").await);
        let deposit = movement(&seed, &one, "hold_placed", 50_000, None).await;
        let second = movement(&seed, &two, "hold_placed", 75_000, None).await;
        // Twice 66.00 by nobody in particular: which entry is which movement's, nobody can tell.
        world.clock.set("2026-04-07T09:00:00Z");
        let third = seed.hire("F-1003").await;
        let alike = [
            movement(&seed, &third, "hold_placed", 6600, None).await,
            movement(&seed, &third, "hold_placed", 6600, None).await,
        ];
        // Another account's 100.00 a day later: by amount and date.
        world.clock.set("2026-04-11T09:00:00Z");
        let fourth = seed.hire("F-9").await;
        let by_date = movement(&seed, &fourth, "hold_placed", 10_000, None).await;

        let office = seed.staff(&world, "olga", "office").await;
        let read = read_in(&office, "april.xml", fixture("statement-08.xml"), None).await;
        assert_eq!((&read["state"], &read["entries"], &read["read"], &read["added"]), (&json!("done"), &json!(10), &json!(10), &json!(10)));
        assert_eq!((&read["pending"], &read["version"]), (&json!(1), &json!("camt.053.001.08")));
        let matched = entries(&office, "matched").await;
        let of = |bank: &str| {
            let one = matched.iter().find(|m| m["entry"]["bank_reference"] == bank);
            one.map(|m| (m["matched"]["movement"].as_str().unwrap().to_owned(), m["matched"]["means"].clone()))
        };
        assert_eq!(of("B-0001"), Some((deposit.clone(), json!("reference"))));
        assert_eq!(of("B-0002"), Some((second.clone(), json!("reference"))), "written as `f 1002`");
        assert_eq!(of("B-0008/3"), Some((by_date, json!("amount_and_date"))));
        assert_eq!(matched.len(), 3);
        let open = entries(&office, "open").await;
        assert_eq!(open.len(), 7);
        let of = |bank: &str| open.iter().find(|m| m["entry"]["bank_reference"] == bank).unwrap();
        for bank in ["B-0004", "B-0005"] {
            let fits: Vec<&str> = of(bank)["candidates"].as_array().unwrap().iter().map(|c| c["movement"]["id"].as_str().unwrap()).collect();
            assert_eq!(fits, alike, "{bank}");
        }
        assert_eq!((&of("B-0006")["entry"]["reversal"], &of("B-0006")["matched"]), (&json!(true), &Value::Null));

        // The same file again, an older version of it and its CSV: nothing changes.
        for (name, columns) in [("statement-08.xml", None), ("statement-02.xml", None), ("statement-en.csv", Some(english()))] {
            let again = read_in(&office, name, fixture(name), columns.as_ref()).await;
            assert_eq!((&again["read"], &again["added"]), (&json!(10), &json!(0)), "{name}");
        }
        assert_eq!(entries(&office, "open").await, open);
        assert_eq!(entries(&office, "matched").await, matched);
        assert_eq!(office.get("/bank/imports").await.expect(200)["items"].as_array().unwrap().len(), 4);
        let desk = seed.staff(&world, "dora", "desk").await;
        let _ = desk.get("/bank/entries").await.refused(403, "forbidden");
    }

    async fn a_person_says_what_an_entry_is_once(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1003").await;
        let other = movement(&seed, &hire, "hold_placed", 6600, None).await;
        let _ = read_in(&seed.manager, "april.csv", fixture("statement-en.csv"), Some(&english())).await;
        let open = entries(&seed.manager, "open").await;
        let of = |bank: &str| open.iter().find(|m| m["entry"]["bank_reference"] == bank).unwrap().clone();
        let path = |entry: &Value, what: &str| format!("/bank/entries/{}/{what}", entry["entry"]["id"].as_str().unwrap());

        // A deposit nobody recorded, named by its hire: recorded and matched in one deed.
        let entry = of("B-0008/1");
        assert_eq!((&entry["named"][0]["reference"], &entry["named"][0]["kind"]), (&json!("F-1003"), &json!("hold_placed")));
        let new = id();
        let asked = json!({"what": "new_movement", "hire": hire, "movement": new, "kind": "hold_placed"});
        let matched = seed.manager.put(&path(&entry, "match"), &asked).await.expect(200);
        assert_eq!((&matched["matched"]["movement"], &matched["matched"]["means"]), (&json!(new), &json!("person")));
        assert_eq!(seed.manager.put(&path(&entry, "match"), &asked).await.expect(200), matched, "asked again");
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!((&ledger["balances"]["held"], &ledger["movements"][1]["payer"]), (&money(36_600), &json!("Hazel Hirer")));

        // Another amount, another direction, a second match: refused, and nothing changed.
        let deposit = json!({"what": "movement", "movement": other});
        let _ = seed.manager.put(&path(&of("B-0001"), "match"), &deposit).await.refused(409, "match_refused");
        let _ = seed.manager.put(&path(&of("B-0004"), "match"), &deposit).await.expect(200);
        let _ = seed.manager.put(&path(&of("B-0005"), "match"), &deposit).await.refused(409, "match_refused");
        let _ = seed.manager.put(&path(&of("B-0004"), "match"), &json!({"what": "movement", "movement": id()})).await.refused(409, "match_refused");
        let _ = seed.manager.put(&path(&of("B-0005"), "match"), &json!({"what": "movement", "movement": id()})).await.refused(422, "values_invalid");
        // More out than is held: the ledger's own rules hold.
        let refund = json!({"what": "new_movement", "hire": hire, "movement": id(), "kind": "refunded"});
        let _ = seed.manager.put(&path(&of("B-0003"), "match"), &refund).await.refused(422, "movement_refused");
        assert_eq!(world.count("SELECT COUNT(*) FROM movement").await, 2);
        // Taken back, it is open again, and the other can have it.
        assert_eq!(seed.manager.delete(&path(&of("B-0004"), "match")).await.status, 204);
        let _ = seed.manager.put(&path(&of("B-0005"), "match"), &deposit).await.expect(200);

        let aside = seed.manager.put(&path(&of("B-0007"), "aside"), &json!({"reason": "printer paper"})).await.expect(200);
        assert_eq!((&aside["entry"]["state"], &aside["entry"]["aside_reason"]), (&json!("aside"), &json!("printer paper")));
        let back = seed.manager.put(&path(&of("B-0007"), "aside"), &json!({})).await.expect(200);
        assert_eq!(back["entry"]["state"], "open");
        let _ = seed.manager.put(&path(&of("B-0005"), "aside"), &json!({"reason": "no"})).await.refused(409, "match_refused");
    }

    async fn a_file_that_is_not_whole_changes_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        for (name, reason) in [("cut-off.xml", "xml"), ("wrong-sign.xml", "unbalanced"), ("entity-expansion.xml", "document_type"), ("utf-16.xml", "encoding")] {
            let told = send(&seed.manager, name, fixture(&format!("hostile/{name}")), None).await.refused(422, "bank_file_refused");
            assert_eq!(told["reason"], reason, "{name}");
        }
        let told = send(&seed.manager, "april.csv", fixture("statement-en.csv"), Some(&json!({"account": "A"}))).await;
        let _ = told.refused(400, "query_invalid");
        let mut columns = english();
        columns["amount"] = json!("Sum");
        let told = send(&seed.manager, "april.csv", fixture("statement-en.csv"), Some(&columns)).await.refused(422, "bank_file_refused");
        assert!(told["detail"].as_str().unwrap().contains("`Sum`"), "{told}");
        assert_eq!(seed.manager.get("/bank/imports").await.expect(200)["items"], json!([]));
        assert_eq!(world.count("SELECT COUNT(*) FROM bank_entry").await, 0);
    }

    async fn a_file_the_server_stopped_over_is_noted_and_read_in_again(world: World) {
        let seed = Seed::plant(&world).await;
        let read = read_in(&seed.manager, "april.xml", fixture("statement-08.xml"), None).await;
        world.execute("UPDATE bank_import SET state = 'running', read = 4").await;
        world.execute("DELETE FROM bank_entry WHERE bank_reference IN ('B-0006', 'B-0007', 'B-0001')").await;
        assert_eq!(handsel::app::bank_files::break_off(&world.app).await.unwrap(), 1);
        let path = format!("/bank/imports/{}", read["id"].as_str().unwrap());
        let broken = seed.manager.get(&path).await.expect(200);
        assert_eq!(broken["state"], "broken");
        assert!(broken["reason"].as_str().unwrap().contains("send it again"));
        let again = read_in(&seed.manager, "april.xml", fixture("statement-08.xml"), None).await;
        assert_eq!((&again["state"], &again["added"]), (&json!("done"), &json!(3)));
    }
}
