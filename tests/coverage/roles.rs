//! Every role, and nobody, at every route: let in exactly where the policy says so.

use handsel::http::routes::V1;
use handsel_domain::policy::{Action, Role, allows};
use handsel_tests::{Client, Seed, id, on_each_database};
use reqwest::Method;
use serde_json::Value;

/// A path with something in every place. The things are not there: what matters is who gets as far as being told.
fn filled(path: &str) -> String {
    path.split('/')
        .map(|part| match part {
            "{topic}" => "lid".to_owned(),
            "{role}" => "staff".to_owned(),
            _ if part.starts_with('{') => id(),
            _ => part.to_owned(),
        })
        .collect::<Vec<_>>()
        .join("/")
}

async fn code(client: &Client, method: &str, path: &str) -> (u16, String) {
    let method = Method::from_bytes(method.as_bytes()).unwrap();
    let answer = client.send(client.request(method, &filled(path))).await;
    let body: Value = serde_json::from_slice(&answer.bytes).unwrap_or_default();
    (answer.status, body.get("code").and_then(Value::as_str).unwrap_or_default().to_owned())
}

on_each_database! {
    async fn every_role_at_every_route(world: World) {
        let seed = Seed::plant(&world).await;
        let mut wrong = Vec::new();
        for role in Role::ALL {
            let name = format!("{role:?}").to_lowercase();
            let client = seed.staff(&world, &name, &name).await;
            for entry in V1 {
                let told = code(&client, entry.method, entry.path).await;
                let let_in = !matches!(told.0, 401 | 403);
                // An open route may say 401 for its own reasons, such as a wrong password.
                if entry.action != Action::Open && let_in != allows(role, entry.action) {
                    wrong.push(format!("{role:?} at {} {}: {told:?}", entry.method, entry.path));
                }
                if told.0 >= 500 {
                    wrong.push(format!("{role:?} broke {} {}: {told:?}", entry.method, entry.path));
                }
            }
        }
        for entry in V1 {
            let told = code(&world.anonymous, entry.method, entry.path).await;
            // The answer to HEAD has no body to say a code in.
            let unnamed = entry.method == "HEAD" && told.0 == 401;
            let turned_away = unnamed || told == (401, "unauthenticated".to_owned());
            if turned_away != (entry.action != Action::Open) {
                wrong.push(format!("nobody at {} {}: {told:?}", entry.method, entry.path));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}
