//! Signing in, staying signed in, signing out.

use handsel_tests::{MANAGER, PASSWORD, Seed, World, on_each_database, staff};
use serde_json::{Value, json};

async fn login(world: &World, email: &str, password: &str) -> handsel_tests::Answer {
    world.anonymous.post("/auth/login", &json!({"email": email, "password": password})).await
}

async fn refresh(world: &World, session: &Value) -> handsel_tests::Answer {
    world.anonymous.post("/auth/refresh", &json!({"refresh_token": session["refresh_token"]})).await
}

on_each_database! {
    async fn a_session_says_who_and_until_when(world: World) {
        let session = login(&world, "  ADA@fernway.example ", PASSWORD).await.expect(200);
        assert_eq!(session["staff"]["email"], MANAGER);
        assert_eq!(session["staff"]["depot"], Value::Null);
        assert_eq!(session["access_expires_at"], "2026-03-28T10:15:00Z");
        assert_eq!(session["refresh_expires_at"], "2026-04-27T10:00:00Z");
        let me = world.anonymous.with_token(session["access_token"].as_str().unwrap()).get("/me").await.expect(200);
        assert_eq!(me, session["staff"]);
    }

    async fn a_wrong_password_and_an_unknown_address_are_told_alike(world: World) {
        let wrong = login(&world, MANAGER, "not the password").await.refused(401, "login_failed");
        let unknown = login(&world, "nobody@fernway.example", PASSWORD).await.refused(401, "login_failed");
        assert_eq!(wrong, unknown);
    }

    async fn ten_failures_make_an_address_wait_a_quarter_of_an_hour(world: World) {
        for _ in 0..10 {
            let _ = login(&world, MANAGER, "not the password").await.refused(401, "login_failed");
        }
        let waiting = login(&world, MANAGER, PASSWORD).await;
        let _ = waiting.refused(429, "login_throttled");
        assert_eq!(waiting.header("retry-after"), "900");
        // Somebody else is not held up.
        let _ = login(&world, "nobody@fernway.example", PASSWORD).await.refused(401, "login_failed");
        world.clock.pass(15 * 60 + 1);
        let _ = login(&world, MANAGER, PASSWORD).await.expect(200);
    }

    async fn an_access_token_runs_out_and_a_refresh_token_gets_the_next(world: World) {
        let first = login(&world, MANAGER, PASSWORD).await.expect(200);
        world.clock.pass(15 * 60);
        let client = world.anonymous.with_token(first["access_token"].as_str().unwrap());
        let expired = client.get("/me").await;
        let _ = expired.refused(401, "token_expired");
        assert_eq!(expired.header("www-authenticate"), "Bearer");
        let second = refresh(&world, &first).await.expect(200);
        let _ = world.anonymous.with_token(second["access_token"].as_str().unwrap()).get("/me").await.expect(200);
    }

    async fn a_refresh_token_used_twice_ends_the_whole_family(world: World) {
        let first = login(&world, MANAGER, PASSWORD).await.expect(200);
        let other_sign_in = login(&world, MANAGER, PASSWORD).await.expect(200);
        let second = refresh(&world, &first).await.expect(200);
        let _ = refresh(&world, &first).await.refused(401, "refresh_reused");
        let _ = refresh(&world, &second).await.refused(401, "refresh_invalid");
        let _ = refresh(&world, &other_sign_in).await.expect(200);
    }

    async fn of_two_refreshes_at_once_at_most_one_succeeds(world: World) {
        let session = login(&world, MANAGER, PASSWORD).await.expect(200);
        let (a, b) = tokio::join!(refresh(&world, &session), refresh(&world, &session));
        let mut statuses = [a.status, b.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 401]);
    }

    async fn a_refresh_token_runs_out_and_is_gone_after_signing_out(world: World) {
        let session = login(&world, MANAGER, PASSWORD).await.expect(200);
        let out = json!({"refresh_token": session["refresh_token"]});
        let _ = world.anonymous.post("/auth/logout", &out).await.expect(204);
        let _ = refresh(&world, &session).await.refused(401, "refresh_invalid");
        let session = login(&world, MANAGER, PASSWORD).await.expect(200);
        world.clock.pass(30 * 24 * 60 * 60);
        let _ = refresh(&world, &session).await.refused(401, "refresh_invalid");
    }

    async fn a_closed_account_is_out_at_once(world: World) {
        let seed = Seed::plant(&world).await;
        let desk_id = handsel_tests::id();
        let _ = seed.manager.post("/staff", &staff(&desk_id, "dan", "desk", Some(&seed.depot))).await.expect(201);
        let session = login(&world, "dan@fernway.example", PASSWORD).await.expect(200);
        let desk = world.anonymous.with_token(session["access_token"].as_str().unwrap());
        let _ = desk.get("/me").await.expect(200);
        let _ = seed.manager.patch(&format!("/staff/{desk_id}"), 1, &json!({"active": false})).await.expect(200);
        let _ = desk.get("/me").await.refused(401, "unauthenticated");
        let _ = refresh(&world, &session).await.refused(401, "refresh_invalid");
        let _ = login(&world, "dan@fernway.example", PASSWORD).await.refused(401, "login_failed");
    }

    async fn a_new_password_ends_the_sessions_of_the_old_one(world: World) {
        let seed = Seed::plant(&world).await;
        let dan = handsel_tests::id();
        let _ = seed.manager.post("/staff", &staff(&dan, "dan", "desk", None)).await.expect(201);
        let session = login(&world, "dan@fernway.example", PASSWORD).await.expect(200);
        let change = json!({"password": "another password, as long"});
        let _ = seed.manager.patch(&format!("/staff/{dan}"), 1, &change).await.expect(200);
        let _ = refresh(&world, &session).await.refused(401, "refresh_invalid");
        let _ = login(&world, "dan@fernway.example", PASSWORD).await.refused(401, "login_failed");
        let _ = login(&world, "dan@fernway.example", "another password, as long").await.expect(200);
    }

    async fn a_token_of_nobody_is_not_taken(world: World) {
        for token in ["", "x", "eyJhbGciOiJub25lIiwidHlwIjoiSldUIn0.eyJzdWIiOiJhIn0."] {
            let _ = world.anonymous.with_token(token).get("/me").await.refused(401, "unauthenticated");
        }
    }
}
