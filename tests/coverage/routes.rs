//! The route table, the API's description and the policy name the same things.

use handsel::http::openapi;
use handsel::http::routes::{BASE, SYSTEM, V1, action};
use handsel_domain::policy::Action;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

const METHODS: [&str; 7] = ["get", "head", "options", "post", "put", "patch", "delete"];

fn described() -> Value {
    serde_json::to_value(openapi::describe()).unwrap()
}

/// (method, path, operation) of everything described.
fn operations(api: &Value) -> Vec<(String, String, Value)> {
    let paths = api.get("paths").unwrap().as_object().unwrap();
    let each = paths.iter().flat_map(|(path, item)| {
        METHODS.iter().filter_map(move |method| {
            item.get(method).map(|operation| (method.to_uppercase(), path.clone(), operation.clone()))
        })
    });
    each.collect()
}

#[test]
fn every_route_is_described_and_everything_described_is_a_route() {
    let table: BTreeSet<(String, String)> =
        V1.iter().chain(SYSTEM).map(|e| (e.method.to_owned(), e.path.to_owned())).collect();
    assert_eq!(table.len(), V1.len() + SYSTEM.len(), "a route stands in the table twice");
    let described: BTreeSet<(String, String)> =
        operations(&described()).into_iter().map(|(method, path, _)| (method, path)).collect();
    assert_eq!(described, table);
}

#[test]
fn every_operation_says_what_it_needs_and_how_it_refuses() {
    let mut ids = BTreeSet::new();
    for (method, path, operation) in operations(&described()) {
        let name = format!("{method} {path}");
        let entry = V1.iter().chain(SYSTEM).find(|e| e.method == method && e.path == path).unwrap();
        let secured = operation.get("security").unwrap().as_array().unwrap();
        assert_eq!(secured.is_empty(), entry.action == Action::Open, "{name}: security");
        let refusal = "/responses/default/content/application~1problem+json/schema/$ref";
        assert_eq!(operation.pointer(refusal).and_then(Value::as_str), Some("#/components/schemas/Problem"), "{name}");
        let id = operation.get("operationId").and_then(Value::as_str).unwrap().to_owned();
        assert!(id.starts_with(char::is_lowercase) && !id.contains('_'), "{id} is not in camel case");
        assert!(ids.insert(id.clone()), "{id} names two operations");
        assert!(operation.get("summary").and_then(Value::as_str).is_some_and(|s| !s.is_empty()), "{name}: summary");
        assert_eq!(operation.get("tags").and_then(Value::as_array).map(Vec::len), Some(1), "{name}: tag");
        // Every parameter of the path is described.
        let wanted: BTreeSet<&str> = path.split('/').filter_map(|p| p.strip_prefix('{')?.strip_suffix('}')).collect();
        let parameters = operation.get("parameters").and_then(Value::as_array).cloned().unwrap_or_default();
        let told: BTreeSet<&str> =
            parameters.iter().filter(|p| p["in"] == "path").filter_map(|p| p["name"].as_str()).collect();
        assert_eq!(told, wanted, "{name}: path parameters");
    }
}

#[test]
fn every_reference_of_the_description_leads_somewhere() {
    let api = described();
    let mut open = vec![&api];
    let mut count = 0;
    while let Some(value) = open.pop() {
        match value {
            Value::Object(object) => {
                if let Some(Value::String(reference)) = object.get("$ref") {
                    let pointer = reference.strip_prefix('#').unwrap();
                    assert!(api.pointer(pointer).is_some(), "{reference} is missing");
                    count += 1;
                }
                open.extend(object.values());
            }
            Value::Array(items) => open.extend(items),
            _ => {}
        }
    }
    assert!(count > 100, "only {count} references");
}

/// Two types of one name would overwrite each other's description in silence.
#[test]
fn no_two_described_types_share_a_name() {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for folder in ["server/src", "server/domain/src", "server/documents/src", "server/bank/src"] {
        for (file, text) in crate::source::files(folder) {
            let mut described = false;
            for line in text.lines().map(str::trim) {
                if line.starts_with("#[derive(") {
                    described = line.contains("ToSchema");
                }
                let name = ["pub struct ", "pub enum ", "pub(crate) struct ", "pub(crate) enum "]
                    .iter()
                    .find_map(|start| line.strip_prefix(start))
                    .and_then(|rest| rest.split(|c: char| !c.is_alphanumeric()).next());
                if let (true, Some(name)) = (described, name) {
                    places.entry(name.to_owned()).or_default().push(format!("{folder}/{file}"));
                    described = false;
                }
            }
        }
    }
    assert!(places.len() > 100, "{}", places.len());
    let twice: Vec<_> = places.iter().filter(|(_, files)| files.len() > 1).collect();
    assert!(twice.is_empty(), "{twice:#?}");
}

#[test]
fn every_action_of_the_policy_guards_something() {
    let guarded: BTreeSet<Action> = V1.iter().chain(SYSTEM).map(|e| e.action).collect();
    // Going on without a topic is part of recording a briefing; the deed itself asks for it.
    let within: BTreeSet<Action> = BTreeSet::from([Action::OverrideBriefing]);
    for action in Action::ALL {
        assert!(guarded.contains(&action) != within.contains(&action), "{action:?}");
    }
    let asked =
        crate::source::files("server/src/app").iter().any(|(_, text)| text.contains("must(Action::OverrideBriefing)"));
    assert!(asked, "nobody asks whether a briefing may be overridden");
}

#[test]
fn the_action_of_a_request_is_found_by_its_pattern() {
    for entry in V1 {
        assert_eq!(action(entry.method, &format!("{BASE}{}", entry.path)), Some(entry.action));
    }
    assert_eq!(action("GET", "/api/v1/nowhere"), None);
    assert_eq!(action("POST", "/api/v1/me"), None);
}
