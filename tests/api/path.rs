//! The main job, end to end: out, back, compared, decided, paid, told.

use handsel_tests::{Seed, id, money, on_each_database};
use serde_json::{Value, json};

fn line<'a>(compared: &'a Value, key: &str) -> &'a Value {
    compared["lines"]
        .as_array()
        .unwrap()
        .iter()
        .find(|l| l["key"] == key)
        .unwrap_or_else(|| panic!("{key} in {compared}"))
}

on_each_database! {
    async fn from_booking_to_statement(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let path = |what: &str| format!("/hires/{hire}/{what}");
        let office = seed.staff(&world, "olga", "office").await;

        // 7 hire days allow 1400 km of 1900; a quarter of 80 litres is missing.
        let read = office.get(&path("comparison")).await;
        let compared = read.expect(200);
        assert_eq!(compared["hire_days"], 7);
        assert_eq!(line(&compared, "distance")["if_charged"]["minor"], 15_000);
        assert_eq!(line(&compared, "fuel")["if_charged"]["minor"], 5500);
        assert_eq!(compared["totals"]["charged"]["minor"], 0);
        assert_eq!(compared["totals"]["undecided"]["minor"], 20_500);
        assert!(!read.header("etag").is_empty());
        let german = office.get(&path("comparison?lang=de")).await.expect(200);
        assert_ne!(line(&german, "fuel")["title"], line(&compared, "fuel")["title"]);

        // The case is what the command line reads, and comes to the same.
        let case = office.get(&path("case")).await.expect(200);
        let case = serde_json::from_value(case).unwrap();
        let local = handsel_domain::comparison::compare(&case, handsel_domain::text::Lang::En).unwrap();
        assert_eq!(serde_json::to_value(local).unwrap(), compared);

        // Nothing is owed before a person has accepted it.
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(100_000)});
        let desk = seed.staff(&world, "dan", "desk").await;
        let held = desk.post_once(&path("movements"), id(), &hold).await.expect(200);
        assert_eq!((held["balances"]["held"]["minor"].as_i64(), held["owed"]["minor"].as_i64()), (Some(100_000), Some(0)));
        let capture = |minor: i64| json!({"id": id(), "kind": "captured", "means": "card", "amount": money(minor)});
        let early = office.post_once(&path("movements"), id(), &capture(1)).await.refused(422, "movement_refused");
        assert_eq!(early["reason"], "beyond_owed");
        let undecided = office.post_once(&path("settlement"), id(), &json!({})).await.refused(409, "lines_undecided");
        assert_eq!(undecided["lines"], json!(["distance", "fuel"]));

        let decide = |line: &str, verdict: &str, amount: Value, reason: &str| {
            json!({"id": id(), "line": line, "verdict": verdict, "amount": amount, "reason": reason})
        };
        let accepted = decide("distance", "accept", Value::Null, "");
        let _ = office.post_once(&path("decisions"), id(), &accepted).await.expect(200);
        let beyond = decide("fuel", "adjust", money(5501), "more");
        let beyond = office.post_once(&path("decisions"), id(), &beyond).await.refused(422, "decision_refused");
        assert_eq!(beyond["reason"], "amount_beyond_rules");
        let less = decide("fuel", "adjust", money(4000), "they kept the receipt");
        let decided = office.post_once(&path("decisions"), id(), &less).await.expect(200);
        assert_eq!(decided["totals"]["charged"]["minor"], 19_000);
        assert_eq!(decided["totals"]["open_lines"], 0);
        let unknown = decide("sauna", "waive", Value::Null, "none there");
        let unknown = office.post_once(&path("decisions"), id(), &unknown).await.refused(422, "decision_refused");
        assert_eq!(unknown["reason"], "line_unknown");
        let listed = office.get(&path("decisions")).await.expect(200);
        assert_eq!(listed["items"][1]["by_name"], "olga");

        let unsettled = office.post_once(&path("settlement"), id(), &json!({})).await.refused(409, "deposit_unsettled");
        assert_eq!((&unsettled["outstanding"], &unsettled["held"]), (&money(19_000), &money(100_000)));
        let _ = office.post_once(&path("movements"), id(), &capture(19_000)).await.expect(200);
        let released = json!({"id": id(), "kind": "released", "means": "card", "amount": money(81_000)});
        let ledger = office.post_once(&path("movements"), id(), &released).await.expect(200);
        assert_eq!((&ledger["outstanding"], &ledger["balances"]["held"]), (&money(0), &money(0)));
        let sum: i64 = ["hirer", "held", "received", "written_off"]
            .iter()
            .map(|account| ledger["balances"][account]["minor"].as_i64().unwrap())
            .sum();
        assert_eq!(sum, 0);

        world.clock.set("2026-04-07T09:00:00Z");
        let provisional = office.get(&path("statement")).await.expect(200);
        assert_eq!(provisional["closed_at"], Value::Null);
        let closed = office.post_once(&path("settlement"), "close", &json!({})).await.expect(200);
        assert_eq!(closed["closed_at"], "2026-04-07T09:00:00Z");
        assert_eq!(closed["charged"], money(19_000));
        assert_eq!((closed["hirer"].as_str(), closed["operator"]["name"].as_str()), (Some("Kim Hirer"), Some("Fernway Campers")));
        assert_eq!(office.post_once(&path("settlement"), "close", &json!({})).await.expect(200), closed);
        assert_eq!(office.get(&path("statement")).await.expect(200), closed);
        // 190.00 at 20 % included: 190.00 x 20 / 120.
        assert_eq!(closed["tax"][0]["tax_inside"], money(3167));

        let page = office.get(&path("statement.html")).await;
        assert_eq!((page.status, page.header("content-type")), (200, "text/html; charset=utf-8"));
        let page = String::from_utf8(page.bytes).unwrap();
        assert!(page.contains("Kim Hirer") && page.contains("190.00"), "{page}");

        // A closed settlement is changed only by a further entry.
        let late = decide("fuel", "waive", Value::Null, "a kindness");
        let _ = office.post_once(&path("decisions"), id(), &late).await.refused(409, "hire_state");
        let _ = office.post_once(&path("settlement"), id(), &json!({})).await.refused(409, "hire_state");
        let back = json!({"id": id(), "kind": "charged_back", "means": "card", "amount": money(4000)});
        let ledger = office.post_once(&path("movements"), id(), &back).await.expect(200);
        assert_eq!(ledger["outstanding"], money(4000));
    }

    async fn there_is_nothing_to_compare_before_the_return_is_signed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.out("F-1").await;
        for what in ["case", "comparison", "statement", "statement.html"] {
            let _ = seed.manager.get(&format!("/hires/{hire}/{what}")).await.refused(409, "hire_state");
        }
        let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!((&ledger["owed"], &ledger["agreed_deposit"]), (&money(0), &money(100_000)));
    }

    async fn a_later_change_of_the_vehicle_does_not_change_what_was_agreed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let path = format!("/hires/{hire}/comparison");
        let before = seed.manager.get(&path).await.expect(200);
        let change = json!({"tank_litres": "120", "equipment": [], "removed": ["fuel"]});
        let manager = world.manager().await;
        let _ = manager.patch(&format!("/vehicles/{}", seed.vehicle), 1, &change).await.expect(200);
        assert_eq!(manager.get(&path).await.expect(200), before);
    }
}
