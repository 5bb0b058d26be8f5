//! Recording a walk-round.

use handsel_tests::{Seed, Walker, id, on_each_database};
use serde_json::{Value, json};

fn open_keys(view: &Value, kind: &str) -> Vec<String> {
    let points = view["open_points"].as_array().unwrap();
    points.iter().filter(|p| p["kind"] == kind).map(|p| p["key"].as_str().unwrap().to_owned()).collect()
}

on_each_database! {
    async fn a_walk_round_says_what_is_still_to_do(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["status"], "open");
        assert_eq!(open_keys(&view, "checkpoint"), ["odometer", "fuel", "hob_lid", "clean_inside"]);
        assert_eq!(open_keys(&view, "viewpoint"), ["left"]);
        assert_eq!(open_keys(&view, "briefing"), ["lid", "fill_up"]);
        assert_eq!(open_keys(&view, "signature"), ["hirer", "staff"]);
        assert_eq!(view["due_topics"][0], json!({"topic": "lid", "critical": true, "missed": "not_acknowledged"}));
        let _ = walk.fuel(8).await.expect(201);
        walk.brief("lid").await;
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(open_keys(&view, "checkpoint"), ["odometer", "hob_lid", "clean_inside"]);
        assert_eq!(view["due_topics"][0]["missed"], Value::Null);
        let german = seed.manager.get(&format!("{}?lang=de", walk.path)).await.expect(200);
        assert_ne!(german["open_points"], view["open_points"]);
    }

    async fn starting_twice_is_starting_once(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/inspections");
        let start = json!({"id": id(), "leg": "departure", "device_time": "2026-03-28T09:55:00Z"});
        let first = seed.manager.post(&path, &start).await.expect(201);
        assert_eq!(first["clocks"], json!({"device": "2026-03-28T09:55:00Z", "server": "2026-03-28T10:00:00Z"}));
        assert_eq!(seed.manager.post(&path, &start).await.expect(200)["id"], first["id"]);
        let other = json!({"id": id(), "leg": "departure"});
        let problem = seed.manager.post(&path, &other).await.refused(409, "inspection_started");
        assert_eq!(problem["inspection"], first["id"]);
        let early = json!({"id": id(), "leg": "return"});
        let _ = seed.manager.post(&path, &early).await.refused(409, "hire_state");
    }

    async fn an_answer_must_fit_its_question(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let wrong = walk.answer("fuel", json!({"kind": "condition", "state": "in_order"})).await;
        assert!(wrong.refused(422, "answer_invalid")["detail"].as_str().unwrap().contains("`fuel`"));
        let _ = walk.answer("fuel", json!({"kind": "fuel", "level": {"gauge": {"part": 9, "of": 8}}})).await.refused(422, "answer_invalid");
        let _ = walk.answer("hose", json!({"kind": "condition", "state": "in_order"})).await.refused(422, "answer_invalid");
        let grade = walk.answer("clean_inside", json!({"kind": "cleanliness", "grade": "spotless"})).await;
        assert!(grade.refused(422, "answer_invalid")["detail"].as_str().unwrap().contains("clean, dirty"));
        let nothing = walk.answer("sauna", json!({"kind": "condition", "state": "in_order"})).await;
        assert_eq!(nothing.refused(422, "values_invalid")["errors"][0]["pointer"], "/checkpoint");
        let entry = json!({"checkpoint": "fuel", "answer": {"kind": "fuel", "level": {"gauge": {"part": 8, "of": 8}}}, "photos": [id()]});
        let unknown = seed.manager.put(&format!("{}/entries/{}", walk.path, id()), &entry).await;
        assert_eq!(unknown.refused(422, "values_invalid")["errors"][0]["pointer"], "/photos/0");
    }

    async fn both_answers_to_one_question_are_kept_and_one_can_be_taken_back(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let (first, second) = (id(), id());
        let entry = |part: u32| json!({"checkpoint": "fuel", "answer": {"kind": "fuel", "level": {"gauge": {"part": part, "of": 8}}}});
        let path = |entry: &str| format!("{}/entries/{entry}", walk.path);
        let kept = seed.manager.put(&path(&first), &entry(8)).await.expect(201);
        assert_eq!(seed.manager.put(&path(&first), &entry(8)).await.expect(200), kept);
        let _ = seed.manager.put(&path(&first), &entry(7)).await.refused(409, "id_taken");
        let _ = seed.manager.put(&path(&second), &entry(7)).await.expect(201);
        let parts = |view: &Value| -> Vec<u64> {
            let entries = view["entries"].as_array().unwrap();
            entries.iter().map(|e| e["answer"]["level"]["gauge"]["part"].as_u64().unwrap()).collect()
        };
        assert_eq!(parts(&seed.manager.get(&walk.path).await.expect(200)), [8, 7]);
        let _ = seed.manager.delete(&path(&second)).await.expect(204);
        let _ = seed.manager.delete(&path(&second)).await.expect(204);
        assert_eq!(parts(&seed.manager.get(&walk.path).await.expect(200)), [8]);
    }

    async fn nothing_on_a_signed_inspection_changes(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let entry = json!({"checkpoint": "clean_inside", "answer": {"kind": "cleanliness", "grade": "clean"}});
        let first = format!("{}/entries/{}", walk.path, id());
        let _ = seed.manager.put(&first, &entry).await.expect(201);
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        let p = &walk.path;
        // A request that got through before, but whose answer was lost, is answered as before.
        let _ = seed.manager.put(&first, &entry).await.expect(200);
        let _ = walk.fuel(4).await.refused(409, "inspection_closed");
        let _ = seed.manager.delete(&first).await.refused(409, "inspection_closed");
        for (path, body) in [
            (format!("{p}/handover"), json!({"handed_over_at": "2026-03-28T14:30:00Z"})),
            (format!("{p}/briefings/lid"), json!({})),
            (format!("{p}/absence"), json!({"reason": "gone"})),
            (format!("{p}/signatures/staff"), json!({"name": "Eve", "strokes": [[[0, 0], [1, 1]]], "signed_at": "2026-03-28T14:30:00Z"})),
            (format!("{p}/marks/{}", id()), json!({"panel": "roof", "kind": "scratch", "size_mm": 5, "depth": "surface", "viewpoint": "left", "x": "0.5", "y": "0.5"})),
        ] {
            let _ = seed.manager.put(&path, &body).await.refused(409, "inspection_closed");
        }
    }

    async fn an_absent_hirer_is_noted_at_return_only(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let away = json!({"reason": "key left in the box"});
        let _ = seed.manager.put(&format!("{}/absence", walk.path), &away).await.refused(422, "values_invalid");
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        let back = Walker::start(&seed.manager, &hire, "return").await;
        let staff_only = json!({"name": "Ada", "strokes": [[[0, 0], [1, 1]]], "signed_at": "2026-04-04T12:00:00Z"});
        let _ = seed.manager.put(&format!("{}/signatures/staff", back.path), &staff_only).await.expect(200);
        let incomplete = back.sign().await.refused(422, "inspection_incomplete");
        let keys: Vec<&str> = incomplete["open_points"].as_array().unwrap().iter().map(|p| p["key"].as_str().unwrap()).collect();
        assert_eq!(keys, ["handed_over_at", "hirer"]);
        let before = json!({"handed_over_at": "2026-03-28T14:00:00Z"});
        let _ = seed.manager.put(&format!("{}/handover", back.path), &before).await.refused(422, "values_invalid");
        back.hand_over("2026-04-04T12:00:00Z").await;
        let noted = seed.manager.put(&format!("{}/absence", back.path), &away).await.expect(200);
        assert_eq!(noted["hirer_absent"]["reason"], "key left in the box");
        assert_eq!(back.sign().await.expect(200)["status"], "signed");
    }

    async fn a_signature_is_drawn_inside_its_field(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let path = format!("{}/signatures/hirer", walk.path);
        let drawn = |strokes: Value| json!({"name": "Kim", "strokes": strokes, "signed_at": "2026-03-28T10:00:00Z"});
        for strokes in [json!([]), json!([[[0.5, 0.5]]]), json!([[[0, 0], [1.5, 1]]])] {
            let _ = seed.manager.put(&path, &drawn(strokes)).await.refused(422, "values_invalid");
        }
        let kept = seed.manager.put(&path, &drawn(json!([[[0, 0.25], [1, 0.5]]]))).await.expect(200);
        // SHA-256 of [[[0,0.25],[1,0.5]]].
        assert_eq!(kept["strokes_sha256"], "ecb99526600c8906d693e5bd81930696511ee3a2ea4dd1943929da236ecc034f");
        let _ = seed.manager.put(&format!("{}/signatures/passer_by", walk.path), &drawn(json!([]))).await.refused(400, "path_invalid");
    }
}
