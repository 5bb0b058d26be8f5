//! Two devices answer one question without knowing of each other: both answers are kept, and a person chooses.

use crate::operations::{Device, fates, lid, signature};
use handsel_tests::{Seed, id, on_each_database};
use serde_json::{Value, json};

on_each_database! {
    async fn answers_of_two_devices_stand_side_by_side_until_somebody_chooses(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        let before = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(before["conflicts"], json!([]));
        let first = before["entries"].as_array().unwrap().iter().find(|e| e["checkpoint"] == "hob_lid").unwrap()["id"].clone();
        let first = first.as_str().unwrap().to_owned();

        let ivy = seed.staff(&world, "ivy", "inspector").await;
        let mut one = Device::new(&seed.manager, &walk.inspection);
        let mut other = Device::new(&ivy, &walk.inspection);
        let (a1, a2, b) = (id(), id(), id());
        assert_eq!(one.does(lid(&a1, "needs_attention", &[&first])).await["outcome"], "applied");
        assert_eq!(one.does(lid(&a2, "missing", &[&a1])).await["outcome"], "applied");
        assert_eq!(other.does(lid(&b, "in_order", &[&first])).await["outcome"], "applied");
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["conflicts"], json!([{"checkpoint": "hob_lid", "entries": [a2, b]}]));
        let point = view["open_points"].as_array().unwrap().iter().find(|p| p["kind"] == "conflict").unwrap().clone();
        assert_eq!((&point["key"], &point["blocks"]), (&json!("hob_lid"), &json!(true)));
        let replaces = |view: &Value, entry: &str| {
            let entry = view["entries"].as_array().unwrap().iter().find(|e| e["id"] == entry).unwrap().clone();
            entry["replaces"].clone()
        };
        // Also what the replaced ones replaced.
        let mut both = vec![first.clone(), a1.clone()];
        both.sort();
        assert_eq!(replaces(&view, &a2), json!(both));

        walk.both_sign().await;
        let refused = walk.sign().await.refused(422, "answers_conflict");
        assert_eq!(refused["checkpoints"], json!(["hob_lid"]));
        let by_device = one.does(json!({"kind": "sign"})).await;
        assert_eq!(by_device["problem"]["code"], "answers_conflict");

        let chosen = id();
        assert_eq!(other.does(lid(&chosen, "in_order", &[&a2, &b])).await["outcome"], "applied");
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["conflicts"], json!([]));
        assert_eq!(view["entries"].as_array().unwrap().len(), 8, "everything is kept");
        let _ = walk.sign().await.expect(200);
    }

    async fn whoever_does_not_say_what_they_saw_has_the_last_word(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let mut one = Device::new(&seed.manager, &walk.inspection);
        let mut other = Device::new(&seed.manager, &walk.inspection);
        assert_eq!(one.does(lid(&id(), "missing", &[])).await["outcome"], "applied");
        assert_eq!(other.does(lid(&id(), "in_order", &[])).await["outcome"], "applied");
        let conflicts = |view: Value| view["conflicts"].as_array().unwrap().len();
        assert_eq!(conflicts(seed.manager.get(&walk.path).await.expect(200)), 1);
        // The route without `replaces` counts as before: it settles the question.
        let _ = walk.lid("in_order").await.expect(201);
        assert_eq!(conflicts(seed.manager.get(&walk.path).await.expect(200)), 0);
    }

    async fn the_case_carries_only_the_answer_that_counts(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        walk.usual_departure().await;
        let _ = walk.lid("needs_attention").await.expect(201);
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        world.clock.set("2026-04-04T12:30:00Z");
        let back = handsel_tests::Walker::start(&seed.manager, &hire, "return").await;
        back.usual_return().await;
        let mut device = Device::new(&seed.manager, &back.inspection);
        let signed = [device.operation(signature("hirer")), device.operation(signature("staff")), device.operation(json!({"kind": "sign"}))];
        assert_eq!(fates(&device.outcomes(&signed).await), ["applied"; 3]);
        let case = seed.manager.get(&format!("/hires/{hire}/case")).await.expect(200);
        let lids: Vec<&Value> =
            case["departure"]["entries"].as_array().unwrap().iter().filter(|e| e["checkpoint"] == "hob_lid").collect();
        assert_eq!(lids.len(), 1);
        assert_eq!((&lids[0]["answer"]["state"], lids[0].get("replaces")), (&json!("needs_attention"), None));
    }
}
