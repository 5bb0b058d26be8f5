//! Pages, and what is due.

use handsel_tests::{Seed, depot, hire, id, on_each_database, vehicle};
use serde_json::{Value, json};

fn references(page: &Value) -> Vec<String> {
    page["items"].as_array().unwrap().iter().map(|h| h["reference"].as_str().unwrap().to_owned()).collect()
}

on_each_database! {
    async fn pages_link_to_the_next_and_hold_everything_once(world: World) {
        let seed = Seed::plant(&world).await;
        // Two leave at the same moment: the id decides between them.
        for (reference, day) in [("F-1", 1), ("F-2", 2), ("F-3", 2), ("F-4", 3), ("F-5", 4)] {
            let mut booked = hire(&id(), reference, &seed.depot, &seed.vehicle);
            booked["agreed_departure"] = json!(format!("2026-05-0{day}T10:00:00Z"));
            booked["agreed_return"] = json!("2026-05-20T10:00:00Z");
            let _ = seed.manager.post("/hires", &booked).await.expect(201);
        }
        let mut path = "/hires?limit=2&status=booked".to_owned();
        let mut seen = Vec::new();
        for page in 0..3 {
            let answer = seed.manager.get(&path).await;
            seen.extend(references(&answer.expect(200)));
            let link = answer.header("link");
            assert_eq!(link.is_empty(), page == 2, "{link}");
            if let Some(next) = link.strip_prefix("</api/v1").and_then(|l| l.strip_suffix(">; rel=\"next\"")) {
                assert!(next.contains("status=booked") && next.contains("limit=2"), "{next}");
                path = next.to_owned();
            }
        }
        assert_eq!(seen, ["F-5", "F-4", "F-3", "F-2", "F-1"]);
    }

    async fn the_last_settled_is_first_whenever_it_left(world: World) {
        let seed = Seed::plant(&world).await;
        for (reference, left, back) in [("F-1", 3, 10), ("F-2", 2, 12), ("F-3", 1, 11), ("F-4", 4, 13)] {
            let mut booked = hire(&id(), reference, &seed.depot, &seed.vehicle);
            booked["agreed_departure"] = json!(format!("2026-05-0{left}T10:00:00Z"));
            booked["agreed_return"] = json!(format!("2026-05-{back}T10:00:00Z"));
            let _ = seed.manager.post("/hires", &booked).await.expect(201);
        }
        world.execute("UPDATE hire SET status = 'settled', settled_at = agreed_return WHERE reference <> 'F-4'").await;
        let first = seed.manager.get("/hires?status=settled&limit=2").await;
        assert_eq!(references(&first.expect(200)), ["F-2", "F-3"]);
        let link = first.header("link");
        let rest = link.strip_prefix("</api/v1").unwrap().split('>').next().unwrap().to_owned();
        assert_eq!(references(&seed.manager.get(&rest).await.expect(200)), ["F-1"]);
    }

    async fn lists_by_name_go_on_where_they_ended(world: World) {
        let seed = Seed::plant(&world).await;
        for (index, name) in ["Ash", "Birch", "Birch", "Elm"].into_iter().enumerate() {
            let mut more = vehicle(&id(), &format!("TEST {}", index + 2), &seed.depot, &seed.template, &seed.tariff);
            more["name"] = json!(name);
            let _ = seed.manager.post("/vehicles", &more).await.expect(201);
        }
        let mut path = "/vehicles?limit=1".to_owned();
        let mut names = Vec::new();
        loop {
            let answer = seed.manager.get(&path).await;
            let page = answer.expect(200);
            names.push(page["items"][0]["name"].as_str().unwrap().to_owned());
            let link = answer.header("link");
            if link.is_empty() {
                break;
            }
            path = link.strip_prefix("</api/v1").unwrap().split('>').next().unwrap().to_owned();
        }
        assert_eq!(names, ["Ash", "Birch", "Birch", "Bracken", "Elm"]);
    }

    async fn what_is_due_is_read_on_each_depots_own_calendar(world: World) {
        let seed = Seed::plant(&world).await;
        let (auckland, far) = (id(), id());
        let _ = seed.manager.post("/depots", &depot(&auckland, "Antipodes", "Pacific/Auckland")).await.expect(201);
        let other = vehicle(&far, "TEST 9", &auckland, &seed.template, &seed.tariff);
        let _ = seed.manager.post("/vehicles", &other).await.expect(201);
        // 23:30 on the 28th in London; 00:30 on the 29th in Auckland (UTC+13).
        for (reference, depot, vehicle, at) in [
            ("LATE", &seed.depot, &seed.vehicle, "2026-03-28T23:30:00Z"),
            ("NEXT", &seed.depot, &seed.vehicle, "2026-03-29T00:00:00Z"),
            ("SOUTH", &auckland, &far, "2026-03-28T11:30:00Z"),
            ("EARLY", &auckland, &far, "2026-03-28T10:59:00Z"),
        ] {
            let mut booked = hire(&id(), reference, depot, vehicle);
            booked["agreed_departure"] = json!(at);
            let _ = seed.manager.post("/hires", &booked).await.expect(201);
        }
        let due = |on: &str| format!("/hires?due=departures{on}");
        let on_28th = seed.manager.get(&due("&on=2026-03-28")).await.expect(200);
        assert_eq!(references(&on_28th), ["EARLY", "LATE"]);
        let today = seed.manager.get(&due("")).await.expect(200);
        assert_eq!(references(&today), ["EARLY", "LATE"]);
        let on_29th = seed.manager.get(&due("&on=2026-03-29")).await.expect(200);
        assert_eq!(references(&on_29th), ["EARLY", "SOUTH", "LATE", "NEXT"]);
        let one = seed.manager.get(&due(&format!("&on=2026-03-29&depot={auckland}"))).await.expect(200);
        assert_eq!(references(&one), ["EARLY", "SOUTH"]);
    }

    async fn an_extension_moves_what_is_due_back(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.out("F-1").await;
        let due = |on: &str| format!("/hires?due=returns&on={on}");
        assert_eq!(references(&seed.manager.get(&due("2026-04-04")).await.expect(200)), ["F-1"]);
        assert_eq!(references(&seed.manager.get(&due("2026-04-03")).await.expect(200)), Vec::<String>::new());
        let later = json!({"agreed_return": "2026-04-06T13:00:00Z", "reference": "letter of 1 April"});
        let path = format!("/hires/{hire}/extensions");
        let extended = seed.manager.post_once(&path, "letter", &later).await;
        assert_eq!(extended.expect(200)["due_back"], "2026-04-06T13:00:00Z");
        assert!(!extended.header("etag").is_empty());
        assert_eq!(references(&seed.manager.get(&due("2026-04-04")).await.expect(200)), Vec::<String>::new());
        let earlier = json!({"agreed_return": "2026-04-05T13:00:00Z", "reference": "letter of 2 April"});
        let _ = seed.manager.post_once(&path, "second", &earlier).await.refused(422, "values_invalid");
    }

    async fn hires_are_found_by_words(world: World) {
        let seed = Seed::plant(&world).await;
        seed.hire("F-1").await;
        for words in ["f-1", "KIM", "brack", "test%201"] {
            assert_eq!(references(&seed.manager.get(&format!("/hires?q={words}")).await.expect(200)), ["F-1"], "{words}");
        }
        for words in ["F_1", "%25", "nobody"] {
            let found = seed.manager.get(&format!("/hires?q={words}")).await.expect(200);
            assert_eq!(references(&found), Vec::<String>::new(), "{words}");
        }
    }
}
