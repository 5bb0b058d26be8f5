//! The damage register: what joins it, what grew, what was put right.

use handsel_tests::{Seed, Walker, id, on_each_database};
use serde_json::{Value, json};

fn scratch(size_mm: u32) -> Value {
    json!({
        "panel": "side_left", "kind": "scratch", "size_mm": size_mm, "depth": "through_finish", "viewpoint": "left",
        "x": "0.25", "y": "0.5",
    })
}

async fn out_with(seed: &Seed, reference: &str, marks: &[(&str, u32)]) -> String {
    let hire = seed.hire(reference).await;
    let walk = seed.departure(&hire).await;
    for (mark, size) in marks {
        let _ = seed.manager.put(&format!("{}/marks/{mark}", walk.path), &scratch(*size)).await.expect(201);
    }
    walk.usual_departure().await;
    walk.brief("lid").await;
    walk.both_sign().await;
    let _ = walk.sign().await.expect(200);
    hire
}

on_each_database! {
    async fn damage_joins_the_register_when_its_inspection_is_signed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let (mark, register) = (id(), format!("/vehicles/{}/register", seed.vehicle));
        let path = format!("{}/marks/{mark}", walk.path);
        let first = seed.manager.put(&path, &scratch(30)).await.expect(201);
        assert_eq!(seed.manager.put(&path, &scratch(30)).await.expect(200), first);
        let _ = seed.manager.put(&path, &scratch(31)).await.refused(409, "id_taken");
        assert_eq!(seed.manager.get(&register).await.expect(200)["items"], json!([]));
        let taken_back = format!("{}/marks/{}", walk.path, id());
        let _ = seed.manager.put(&taken_back, &scratch(5)).await.expect(201);
        let _ = seed.manager.delete(&taken_back).await.expect(204);
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        let items = seed.manager.get(&register).await.expect(200)["items"].clone();
        assert_eq!(items.as_array().unwrap().len(), 1);
        assert_eq!((&items[0]["id"], &items[0]["state"]), (&json!(mark), &json!("open")));
        assert_eq!(items[0]["history"][0]["size_mm"], 30);
    }

    async fn a_mark_must_be_somewhere_on_the_vehicle(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        for (field, value, pointer) in [
            ("panel", json!("wing"), "/panel"),
            ("viewpoint", json!("above"), "/viewpoint"),
            ("x", json!("1.01"), "/x"),
            ("y", json!("-0.1"), "/y"),
            ("size_mm", json!(0), "/size_mm"),
            ("kind", json!(""), "/kind"),
        ] {
            let mut mark = scratch(30);
            mark[field] = value;
            let problem = seed.manager.put(&format!("{}/marks/{}", walk.path, id()), &mark).await;
            assert_eq!(problem.refused(422, "values_invalid")["errors"][0]["pointer"], pointer);
        }
    }

    async fn known_damage_is_charged_only_for_what_it_grew(world: World) {
        let seed = Seed::plant(&world).await;
        let (grows, stays) = (id(), id());
        let hire = out_with(&seed, "F-1", &[(&grows, 30), (&stays, 40)]).await;
        world.clock.set("2026-04-04T12:30:00Z");
        let back = Walker::start(&seed.manager, &hire, "return").await;
        back.usual_return().await;
        let look = |mark: &str| format!("{}/sightings/{mark}", back.path);
        let _ = seed.manager.put(&look(&grows), &json!({"size_mm": 60})).await.expect(200);
        let _ = seed.manager.put(&look(&grows), &json!({"size_mm": 80})).await.expect(200);
        let _ = seed.manager.put(&look(&stays), &json!({"size_mm": 40})).await.expect(200);
        let _ = seed.manager.put(&look(&id()), &json!({"size_mm": 40})).await.refused(404, "not_found");
        back.both_sign().await;
        let _ = back.sign().await.expect(200);
        let compared = seed.manager.get(&format!("/hires/{hire}/comparison")).await.expect(200);
        let damage: Vec<&Value> =
            compared["lines"].as_array().unwrap().iter().filter(|l| l["rule"] == "damage").collect();
        // From the small band (80.00) to the large (200.00).
        assert_eq!(damage.len(), 1, "{compared}");
        assert_eq!(damage[0]["if_charged"]["minor"], 12_000);

        let register = format!("/vehicles/{}/register", seed.vehicle);
        let items = seed.manager.get(&register).await.expect(200)["items"].clone();
        let sizes: Vec<u64> = items.as_array().unwrap().iter().map(|m| m["size_mm"].as_u64().unwrap()).collect();
        assert_eq!(sizes, [80, 40]);
        assert_eq!(items[0]["history"].as_array().unwrap().len(), 2);
    }

    async fn repaired_damage_is_no_longer_known(world: World) {
        let seed = Seed::plant(&world).await;
        let old = id();
        let first = out_with(&seed, "F-1", &[(&old, 30)]).await;
        world.clock.set("2026-04-04T12:30:00Z");
        let back = Walker::start(&seed.manager, &first, "return").await;
        back.usual_return().await;
        back.both_sign().await;
        let _ = back.sign().await.expect(200);
        let path = format!("/vehicles/{}/register/{old}/repair", seed.vehicle);
        let _ = seed.manager.post(&path, &json!({"note": " "})).await.refused(422, "values_invalid");
        let repaired = seed.manager.post(&path, &json!({"note": "polished out"})).await.expect(200);
        assert_eq!((&repaired["state"], &repaired["repair_note"]), (&json!("repaired"), &json!("polished out")));
        assert_eq!(seed.manager.post(&path, &json!({"note": "again"})).await.expect(200), repaired);
        let _ = seed.manager.post(&format!("/vehicles/{}/register/{}/repair", seed.vehicle, id()), &json!({"note": "x"})).await.refused(404, "not_found");

        let second = seed.hire("F-2").await;
        let walk = seed.departure(&second).await;
        let look = format!("{}/sightings/{old}", walk.path);
        let _ = seed.manager.put(&look, &json!({"size_mm": 30})).await.refused(404, "not_found");
        // What was known when the first hire went out stays known for it.
        let case = seed.manager.get(&format!("/hires/{first}/case")).await.expect(200);
        assert_eq!(case["register"][0]["id"], old.as_str());
    }
}
