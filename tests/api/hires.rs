//! Hires before and beside their walk-rounds.

use handsel_tests::{Seed, Walker, id, on_each_database};
use serde_json::{Value, json};

on_each_database! {
    async fn a_hire_is_changed_only_while_booked(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}");
        let changed = seed.manager.patch(&path, 1, &json!({"pets": true, "trips": ["alpine"]})).await.expect(200);
        assert_eq!((&changed["pets"], &changed["trips"]), (&json!(true), &json!(["alpine"])));
        let cancelled = seed.manager.post(&format!("{path}/cancel"), &json!({"reason": "fell ill"})).await.expect(200);
        assert_eq!(cancelled["status"], "cancelled");
        let version = u32::try_from(cancelled["version"].as_u64().unwrap()).unwrap();
        let problem = seed.manager.patch(&path, version, &json!({"pets": false})).await.refused(409, "hire_state");
        assert_eq!(problem["hire_status"], "cancelled");
        let start = json!({"id": id(), "leg": "departure"});
        let _ = seed.manager.post(&format!("{path}/inspections"), &start).await.refused(409, "hire_state");
    }

    async fn only_one_driver_is_the_hirer(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let (alex, path) = (id(), format!("/hires/{hire}/drivers"));
        let lead = json!({"name": "Alex Second", "lead": true});
        let changed = seed.manager.put(&format!("{path}/{alex}"), &lead).await.expect(200);
        let leads: Vec<bool> =
            changed["drivers"].as_array().unwrap().iter().map(|d| d["lead"].as_bool().unwrap()).collect();
        assert_eq!(leads, [false, true]);
        let other = seed.hire("F-2").await;
        let _ = seed.manager.put(&format!("/hires/{other}/drivers/{alex}"), &lead).await.refused(409, "id_taken");
        let _ = seed.manager.delete(&format!("{path}/{alex}")).await.expect(204);
        let _ = seed.manager.delete(&format!("{path}/{alex}")).await.expect(204);
        let read = seed.manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!(read["drivers"].as_array().unwrap().len(), 1);
    }

    async fn a_vehicle_that_is_out_does_not_go_out_again(world: World) {
        let seed = Seed::plant(&world).await;
        seed.out("F-1").await;
        let next = seed.hire("F-2").await;
        let start = json!({"id": id(), "leg": "departure"});
        let _ = seed.manager.post(&format!("/hires/{next}/inspections"), &start).await.refused(409, "vehicle_out");
    }

    async fn a_replaced_odometer_lets_the_return_read_less(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.out("F-1").await;
        world.clock.set("2026-04-04T12:30:00Z");
        let walk = Walker::start(&seed.manager, &hire, "return").await;
        let problem = walk.km("300").await.refused(422, "answer_invalid");
        let words = problem["detail"].as_str().unwrap();
        assert!(words.contains("300") && words.contains("10000"), "both figures in {words}");
        let replaced = json!({"old_last": "10500", "new_first": "0", "unit": "km", "reason": "workshop, 2 April"});
        let path = format!("/hires/{hire}/odometer-replacement");
        let inspector = seed.staff(&world, "ivy", "inspector").await;
        let _ = inspector.put(&path, &replaced).await.refused(403, "forbidden");
        let _ = seed.manager.put(&path, &replaced).await.expect(200);
        let _ = walk.km("300").await.expect(201);
    }

    async fn the_hire_says_what_has_happened(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let read = seed.manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!(read["status"], "returned");
        assert_eq!(read["departed_at"], "2026-03-28T14:05:00Z");
        assert_eq!(read["returned_at"], "2026-04-04T12:30:00Z");
        assert_eq!(read["settled_at"], Value::Null);
        assert!(read["departure"].is_string() && read["return"].is_string());
        assert_eq!((read["zone"].as_str(), read["vehicle_name"].as_str()), (Some("Europe/London"), Some("Bracken")));
    }
}
