//! What somebody of one depot reaches.

use handsel_tests::{Seed, depot, hire, id, on_each_database, staff};
use serde_json::json;

on_each_database! {
    async fn another_depots_hires_are_not_there(world: World) {
        let seed = Seed::plant(&world).await;
        let reference = seed.hire("F-1").await;
        let walk = seed.departure(&reference).await;
        let south = id();
        let _ = seed.manager.post("/depots", &depot(&south, "South", "Europe/Berlin")).await.expect(201);
        let _ = seed.manager.post("/staff", &staff(&id(), "sue", "manager", Some(&south))).await.expect(201);
        let sue = world.sign_in("sue@fernway.example").await;
        for path in [
            format!("/hires/{reference}"),
            format!("/hires/{reference}/ledger"),
            format!("/hires/{reference}/comparison"),
            format!("/hires/{reference}/statement"),
            format!("/vehicles/{}", seed.vehicle),
            format!("/vehicles/{}/register", seed.vehicle),
            format!("/depots/{}", seed.depot),
            walk.path.clone(),
        ] {
            let _ = sue.get(&path).await.refused(404, "not_found");
        }
        for list in ["/hires", "/hires?due=departures", "/vehicles"] {
            assert_eq!(sue.get(list).await.expect(200)["items"], json!([]), "{list}");
        }
        assert_eq!(sue.get("/depots").await.expect(200)["items"].as_array().unwrap().len(), 1);
        let entry = json!({"checkpoint": "hob_lid", "answer": {"kind": "condition", "state": "in_order"}});
        let _ = sue.put(&format!("{}/entries/{}", walk.path, id()), &entry).await.refused(404, "not_found");
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": {"minor": 1, "currency": "GBP"}});
        let _ = sue.post_once(&format!("/hires/{reference}/movements"), id(), &hold).await.refused(404, "not_found");
        // Nor can she book another depot's vehicle, or learn that an id is taken by looking at what comes back.
        let theirs = hire(&id(), "F-2", &south, &seed.vehicle);
        let _ = sue.post("/hires", &theirs).await.refused(422, "values_invalid");
        let same = hire(&reference, "F-1", &seed.depot, &seed.vehicle);
        let _ = sue.post("/hires", &same).await.refused(409, "id_taken");
    }

    async fn nobody_gives_a_wider_reach_than_their_own(world: World) {
        let seed = Seed::plant(&world).await;
        let mia = seed.staff(&world, "mia", "manager").await;
        let _ = mia.post("/staff", &staff(&id(), "dan", "desk", None)).await.refused(422, "values_invalid");
        let dan = id();
        let _ = mia.post("/staff", &staff(&dan, "dan", "desk", Some(&seed.depot))).await.expect(201);
        let _ = mia.patch(&format!("/staff/{dan}"), 1, &json!({"depot": null})).await.refused(422, "values_invalid");
        let _ = mia.post("/depots", &depot(&id(), "South", "Europe/Berlin")).await.refused(403, "forbidden");
        let me = seed.manager.get("/me").await.expect(200);
        let _ = mia.get(&format!("/staff/{}", me["id"].as_str().unwrap())).await.refused(404, "not_found");
    }
}
