//! Changes of what is there: which version, absent and null, and what nobody may change.

use handsel_tests::{Seed, id, on_each_database, staff, template};
use reqwest::Method;
use serde_json::{Value, json};

on_each_database! {
    async fn an_edit_names_the_version_it_was_made_from(world: World) {
        let seed = Seed::plant(&world).await;
        let path = format!("/depots/{}", seed.depot);
        let read = seed.manager.get(&path).await;
        assert_eq!(read.header("etag"), "\"1\"");
        let change = json!({"phone": "01632 960199"});
        let blind = seed.manager.request(Method::PATCH, &path).json(&change);
        let _ = seed.manager.send(blind).await.refused(428, "if_match_required");
        for nonsense in ["3", "W/\"1\"", "*", "\"x\""] {
            let request = seed.manager.request(Method::PATCH, &path).header("If-Match", nonsense).json(&change);
            let _ = seed.manager.send(request).await.refused(400, "header_invalid");
        }
        let changed = seed.manager.patch(&path, 1, &change).await;
        assert_eq!(changed.expect(200)["phone"], "01632 960199");
        assert_eq!(changed.header("etag"), "\"2\"");
        let stale = seed.manager.patch(&path, 1, &json!({"phone": ""})).await.refused(412, "changed_meanwhile");
        assert_eq!(stale["version"], 2);
    }

    async fn of_two_edits_at_once_one_wins(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        for path in [format!("/depots/{}", seed.depot), format!("/vehicles/{}", seed.vehicle), format!("/hires/{hire}")] {
            let (one, two) = if path.starts_with("/hires") {
                (json!({"reference": "F-8"}), json!({"reference": "F-9"}))
            } else {
                (json!({"name": "Ling"}), json!({"name": "Broom"}))
            };
            let (a, b) = tokio::join!(seed.manager.patch(&path, 1, &one), seed.manager.patch(&path, 1, &two));
            let mut statuses = [a.status, b.status];
            statuses.sort_unstable();
            assert_eq!(statuses, [200, 412], "{path}");
        }
    }

    async fn absent_stays_and_null_clears(world: World) {
        let seed = Seed::plant(&world).await;
        let path = format!("/vehicles/{}", seed.vehicle);
        let chemistry = json!({"leisure_battery": "agm"});
        let with = seed.manager.patch(&path, 1, &chemistry).await.expect(200);
        assert_eq!((with["leisure_battery"].as_str(), with["fuel_gauge_divisions"].as_u64()), (Some("agm"), Some(8)));
        let cleared = json!({"fuel_gauge_divisions": null});
        let without = seed.manager.patch(&path, 2, &cleared).await.expect(200);
        assert_eq!((without["leisure_battery"].as_str(), &without["fuel_gauge_divisions"]), (Some("agm"), &Value::Null));
        let problem = seed.manager.patch(&path, 3, &json!({"name": null})).await.refused(400, "body_invalid");
        assert_eq!(problem["errors"][0]["pointer"], "/name");
    }

    async fn what_a_vehicle_names_must_be_there(world: World) {
        let seed = Seed::plant(&world).await;
        let path = format!("/vehicles/{}", seed.vehicle);
        for (change, pointer) in [
            (json!({"equipment": ["sauna"]}), "/equipment/0"),
            (json!({"removed": ["sauna"]}), "/removed/0"),
            (json!({"template": id()}), "/template"),
            (json!({"tariff": id()}), "/tariff"),
            (json!({"depot": id()}), "/depot"),
            (json!({"tank_litres": "0"}), "/tank_litres"),
            (json!({"cylinders": [{"slot": "1", "net_fill_kg": "11"}, {"slot": "1", "net_fill_kg": "11"}]}), "/cylinders/1/slot"),
        ] {
            let problem = seed.manager.patch(&path, 1, &change).await.refused(422, "values_invalid");
            assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
        }
    }

    async fn a_vehicle_has_its_own_walk_round(world: World) {
        let seed = Seed::plant(&world).await;
        let path = format!("/vehicles/{}", seed.vehicle);
        let words = json!({"en": "Bike rack", "de": "Fahrradträger"});
        let change = json!({
            "equipment": [],
            "removed": ["hose"],
            "added": [{"stop": "round", "checkpoint": {
                "key": "bike_rack", "system": "bike_rack", "title": words, "guidance": words, "ask": {"kind": "condition"},
            }}],
        });
        let _ = seed.manager.patch(&path, 1, &change).await.expect(200);
        let own = seed.manager.get(&format!("{path}/template")).await.expect(200);
        let stop = &own["stops"][0];
        let keys: Vec<&str> =
            stop["checkpoints"].as_array().unwrap().iter().map(|c| c["key"].as_str().unwrap()).collect();
        assert_eq!(keys, ["odometer", "fuel", "clean_inside", "bike_rack"]);
        assert_eq!(stop["inventory"], json!([]));
    }

    async fn a_template_version_freezes_once_an_inspection_uses_it(world: World) {
        let seed = Seed::plant(&world).await;
        let path = format!("/templates/{}", seed.template);
        let mut changed = template(&seed.template);
        changed["title"]["en"] = json!("Royal fern");
        let _ = seed.manager.put(&path, &changed).await.expect(200);
        assert_eq!(seed.manager.get("/templates").await.expect(200)["items"][0]["frozen"], false);
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        changed["title"]["en"] = json!("Lady fern");
        let _ = seed.manager.put(&path, &changed).await.refused(409, "template_frozen");
        assert_eq!(seed.manager.get("/templates").await.expect(200)["items"][0]["frozen"], true);
        // The next version does not reach a walk-round that has begun.
        let next = id();
        let mut second = template(&next);
        second["version"] = json!(2);
        second["stops"][0]["checkpoints"].as_array_mut().unwrap().remove(1);
        let _ = seed.manager.post("/templates", &second).await.expect(201);
        let _ = seed.manager.patch(&format!("/vehicles/{}", seed.vehicle), 1, &json!({"template": next})).await.expect(200);
        let _ = walk.fuel(8).await.expect(201);
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["template"], seed.template.as_str());
        let kept = seed.manager.get(&format!("{}/template", walk.path)).await.expect(200);
        assert_eq!(kept["version"], 1);
    }

    async fn nobody_locks_themselves_out(world: World) {
        let seed = Seed::plant(&world).await;
        let me = seed.manager.get("/me").await.expect(200);
        let path = format!("/staff/{}", me["id"].as_str().unwrap());
        let problem = seed.manager.patch(&path, 1, &json!({"active": false, "role": "desk"})).await;
        let problem = problem.refused(422, "values_invalid");
        assert_eq!(problem["errors"].as_array().unwrap().len(), 2);
    }

    async fn passwords_are_long_and_never_shown(world: World) {
        let seed = Seed::plant(&world).await;
        let mut short = staff(&id(), "dan", "desk", None);
        short["password"] = json!("short");
        let problem = seed.manager.post("/staff", &short).await.refused(422, "values_invalid");
        assert_eq!(problem["errors"][0]["pointer"], "/password");
        let made = seed.manager.post("/staff", &staff(&id(), "dan", "desk", None)).await;
        let text = String::from_utf8(made.bytes).unwrap();
        assert!(!text.contains("password") && !text.contains("argon2"), "{text}");
    }
}
