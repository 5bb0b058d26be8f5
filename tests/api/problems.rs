//! What is refused, and how it is told.

use handsel_tests::{Seed, hire, id, on_each_database};
use reqwest::Method;
use serde_json::{Value, json};

on_each_database! {
    async fn a_problem_has_every_member(world: World) {
        let answer = world.anonymous.get("/hires/nothing").await;
        let problem = answer.refused(401, "unauthenticated");
        assert_eq!(problem["type"], "/problems/unauthenticated");
        assert_eq!(problem["status"], 401);
        assert_eq!(problem["instance"], "/api/v1/hires/nothing");
        assert!(problem["title"].is_string() && problem["detail"].is_string());
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("cache-control"), "no-store");
        assert!(!answer.header("x-request-id").is_empty());
    }

    async fn paths_methods_ids_and_queries_are_told_apart(world: World) {
        let manager = world.manager().await;
        let _ = manager.get("/nowhere").await.refused(404, "not_found");
        let _ = manager.delete("/hires").await.refused(405, "method_not_allowed");
        let _ = manager.get("/hires/not-an-id").await.refused(400, "path_invalid");
        let _ = manager.get(&format!("/hires/{}", id())).await.refused(404, "not_found");
        for query in ["limit=0", "limit=201", "limit=few", "after=x", "status=lost", "on=28.3.2026", "colour=red"] {
            let _ = manager.get(&format!("/hires?{query}")).await.refused(400, "query_invalid");
        }
        let _ = manager.get(&format!("/inspections/{}?lang=fr", id())).await.refused(400, "query_invalid");
    }

    /// Each body is wrong in one place; the answer says which.
    async fn a_malformed_body_is_refused_with_its_place(world: World) {
        let seed = Seed::plant(&world).await;
        let good = hire(&id(), "F-1", &seed.depot, &seed.vehicle);
        let with = |pointer: &str, value: Value| {
            let mut body = good.clone();
            *body.pointer_mut(pointer).unwrap() = value;
            body.to_string()
        };
        let without = |field: &str| {
            let mut body = good.clone();
            body.as_object_mut().unwrap().remove(field);
            body.to_string()
        };
        let extra = {
            let mut body = good.clone();
            body["discount"] = json!(5);
            body.to_string()
        };
        let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
        for (body, pointer, words) in [
            (String::new(), "", "EOF"),
            ("{".to_owned(), "", "EOF"),
            ("[]".to_owned(), "", "a JSON object"),
            (format!("{good} {good}"), "", "trailing"),
            (deep, "", "a JSON object"),
            (extra, "/discount", "unknown field `discount`"),
            (without("deposit"), "", "missing field `deposit`"),
            (with("/id", json!("7")), "/id", "UUID"),
            (with("/agreed_return", json!("2026-04-04T13:00:00")), "/agreed_return", "RFC 3339"),
            (with("/agreed_return", json!(5)), "/agreed_return", "expected a string"),
            (with("/excess/currency", json!("XXX")), "/excess/currency", "unknown variant `XXX`"),
            (with("/excess/minor", json!(12.5)), "/excess/minor", "floating point"),
            (with("/deposit_means", json!("shells")), "/deposit_means", "unknown variant `shells`"),
            (with("/drivers/0/name", Value::Null), "/drivers/0/name", "null"),
        ] {
            let request = seed.manager.request(Method::POST, "/hires").header("Content-Type", "application/json");
            let problem = seed.manager.send(request.body(body.clone())).await.refused(400, "body_invalid");
            assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
            assert!(problem["errors"][0]["detail"].as_str().unwrap().contains(words), "{words} in {problem}");
        }
    }

    async fn values_that_cannot_be_right_are_all_told_at_once(world: World) {
        let seed = Seed::plant(&world).await;
        let mut body = hire(&id(), " ", &seed.depot, &seed.vehicle);
        body["agreed_return"] = json!("2026-03-27T10:00:00Z");
        body["excess"] = json!({"minor": -1, "currency": "EUR"});
        body["drivers"][0]["email"] = json!("kim");
        let problem = seed.manager.post("/hires", &body).await.refused(422, "values_invalid");
        let pointers: Vec<&str> =
            problem["errors"].as_array().unwrap().iter().map(|e| e["pointer"].as_str().unwrap()).collect();
        assert_eq!(pointers, ["/reference", "/agreed_return", "/excess/minor", "/drivers/0/email", "/excess/currency"]);
    }

    async fn other_content_and_too_much_of_it_are_refused(world: World) {
        let manager = world.manager().await;
        let plain = manager.request(Method::POST, "/hires").header("Content-Type", "text/plain").body("{}");
        let _ = manager.send(plain).await.refused(415, "unsupported_media_type");
        let _ = manager.send(manager.request(Method::POST, "/hires")).await.refused(415, "unsupported_media_type");
        let large = format!("{{\"reason\":\"{}\"}}", "a".repeat(1024 * 1024));
        let large = manager.request(Method::POST, "/hires").header("Content-Type", "application/json").body(large);
        let _ = manager.send(large).await.refused(413, "body_too_large");
    }

    async fn a_template_or_tariff_that_does_not_hold_together_is_told_where(world: World) {
        let seed = Seed::plant(&world).await;
        let mut template = handsel_tests::template(&id());
        template["version"] = json!(2);
        template["stops"][0]["checkpoints"][2]["needs"] = json!(["fridge"]);
        let problem = seed.manager.post("/templates", &template).await.refused(422, "template_invalid");
        assert_eq!(problem["errors"][0]["pointer"], "/stops/0/checkpoints/2/needs/0", "{problem}");
        let mut tariff = handsel_tests::tariff(&id());
        tariff["version"] = json!(2);
        tariff["fuel"]["per_litre"]["currency"] = json!("EUR");
        let problem = seed.manager.post("/tariffs", &tariff).await.refused(422, "tariff_invalid");
        assert_eq!(problem["errors"][0]["pointer"], "/fuel/per_litre", "{problem}");
    }

    async fn a_broken_photograph_store_makes_the_server_not_ready(world: World) {
        let ready = world.anonymous.get("//readyz").await.expect(200);
        assert_eq!(ready, json!({"database": true, "blobs": true}));
        std::fs::remove_dir_all(world.folder().join("photos")).unwrap();
        let _ = world.anonymous.get("//readyz").await.refused(503, "not_ready");
        assert_eq!(world.anonymous.get("//healthz").await.status, 200);
    }
}
