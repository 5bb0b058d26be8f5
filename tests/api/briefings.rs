//! Briefings: what stands in the way of a departure, and what going on without one costs.

use handsel_tests::{Seed, Walker, id, on_each_database};
use serde_json::{Value, json};

async fn ready_but_for_the_lid(seed: &Seed, hire: &str) -> Walker {
    let walk = seed.departure(hire).await;
    walk.usual_departure().await;
    walk.brief("fill_up").await;
    walk.both_sign().await;
    walk
}

on_each_database! {
    async fn a_departure_waits_for_its_critical_topics(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = ready_but_for_the_lid(&seed, &hire).await;
        let problem = walk.sign().await.refused(422, "briefing_unacknowledged");
        assert_eq!(problem["topics"], json!(["lid"]));
        // Shown is not acknowledged.
        let path = format!("{}/briefings/lid", walk.path);
        let _ = seed.manager.put(&path, &json!({"shown_at": "2026-03-28T13:50:00Z"})).await.expect(200);
        let _ = walk.sign().await.refused(422, "briefing_unacknowledged");
        let still = seed.manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!(still["status"], "booked");
        walk.brief("lid").await;
        let _ = walk.sign().await.expect(200);
        let out = seed.manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!(out["status"], "out");
    }

    async fn going_on_without_a_topic_takes_a_reason_and_a_role(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = ready_but_for_the_lid(&seed, &hire).await;
        let path = format!("{}/briefings/lid", walk.path);
        for reason in ["", "   "] {
            let asked = json!({"override": {"reason": reason}});
            let problem = seed.manager.put(&path, &asked).await.refused(422, "values_invalid");
            assert_eq!(problem["errors"][0]["pointer"], "/override/reason");
        }
        let _ = seed.manager.put(&path, &json!({"override": {}})).await.refused(400, "body_invalid");
        let reasoned = json!({"override": {"reason": "hirer left in a hurry"}});
        let inspector = seed.staff(&world, "ivy", "inspector").await;
        let _ = inspector.put(&path, &reasoned).await.refused(403, "forbidden");
        let desk = seed.staff(&world, "dan", "desk").await;
        let record = desk.put(&path, &reasoned).await.expect(200);
        assert_eq!(record["overridden"]["reason"], "hirer left in a hurry");
        assert!(record["overridden"]["by"].is_string());
        let _ = walk.sign().await.expect(200);
    }

    async fn a_topic_gone_on_without_weakens_its_line_and_a_person_must_decide(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = ready_but_for_the_lid(&seed, &hire).await;
        let reasoned = json!({"override": {"reason": "hirer left in a hurry"}});
        let _ = seed.manager.put(&format!("{}/briefings/lid", walk.path), &reasoned).await.expect(200);
        let _ = walk.sign().await.expect(200);

        world.clock.set("2026-04-04T12:30:00Z");
        let back = Walker::start(&seed.manager, &hire, "return").await;
        back.usual_return().await;
        let _ = back.lid("needs_attention").await.expect(201);
        back.both_sign().await;
        let _ = back.sign().await.expect(200);

        let path = format!("/hires/{hire}/comparison");
        let compared = seed.manager.get(&path).await.expect(200);
        let missed = &compared["missed_topics"][0];
        assert_eq!((missed["topic"].as_str(), missed["why"].as_str()), (Some("lid"), Some("overridden")));
        assert_eq!(missed["reason"], "hirer left in a hurry");
        let key = missed["weakens"][0].as_str().unwrap().to_owned();
        let line = |compared: &Value| -> Value {
            compared["lines"].as_array().unwrap().iter().find(|l| l["key"] == key.as_str()).unwrap().clone()
        };
        let held = line(&compared);
        assert_eq!(held["state"], "held_for_review");
        assert_eq!(held["amount"]["minor"], 0);
        assert_eq!(held["weakened_by"], json!(["lid"]));

        // A person decides, with a reason.
        let decisions = format!("/hires/{hire}/decisions");
        let accept = json!({"id": id(), "line": key, "verdict": "accept"});
        let problem = seed.manager.post_once(&decisions, id(), &accept).await.refused(422, "decision_refused");
        assert_eq!(problem["reason"], "reason_required");
        let mut reasoned = accept.clone();
        reasoned["reason"] = json!("the hirer wrote that they closed it hot");
        let decided = seed.manager.post_once(&decisions, id(), &reasoned).await.expect(200);
        assert_eq!(line(&decided)["state"], "accepted");
        assert_eq!(line(&decided)["amount"]["minor"], 12_000);
    }
}
