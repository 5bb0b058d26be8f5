//! The JSON Schema (2020-12) of the case document, made from the same types that read it.

use crate::case::Case;
use serde_json::{Map, Value, json};
use utoipa::OpenApi;

#[derive(OpenApi)]
#[openapi(components(schemas(Case)))]
struct Described;

/// The schema as a document of its own.
///
/// # Errors
/// When a type's description is not JSON; a test calls it.
pub fn schema() -> Result<Value, serde_json::Error> {
    let described = serde_json::to_value(Described::openapi())?;
    let mut definitions = described.pointer("/components/schemas").cloned().unwrap_or_default();
    relocate(&mut definitions);
    let plain = definitions.clone();
    close_tagged(&mut definitions, &plain);
    let root = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Handsel case document",
        "description": "One hire's departure, return and tariff, self-contained: what `handsel compare` reads.",
        "$ref": "#/$defs/Case",
    });
    let mut root: Map<String, Value> = serde_json::from_value(root)?;
    root.insert("$defs".into(), definitions);
    Ok(Value::Object(root))
}

/// Points references at this document's own definitions.
fn relocate(value: &mut Value) {
    match value {
        Value::Object(map) => {
            if let Some(Value::String(target)) = map.get_mut("$ref") {
                *target = target.replace("#/components/schemas/", "#/$defs/");
            }
            map.values_mut().for_each(relocate);
        }
        Value::Array(items) => items.iter_mut().for_each(relocate),
        _ => {}
    }
}

/// A tagged variant that holds a whole struct is described as "that struct, and also the tag". The struct refuses
/// other fields, so nothing would fit both: put the two into one object instead.
fn close_tagged(value: &mut Value, definitions: &Value) {
    if let Some(merged) = merged(value, definitions) {
        *value = merged;
    }
    match value {
        Value::Object(map) => map.values_mut().for_each(|v| close_tagged(v, definitions)),
        Value::Array(items) => items.iter_mut().for_each(|v| close_tagged(v, definitions)),
        _ => {}
    }
}

fn merged(value: &Value, definitions: &Value) -> Option<Value> {
    let [one, other] = value.get("allOf")?.as_array()?.as_slice() else { return None };
    let name = one.get("$ref")?.as_str()?.strip_prefix("#/$defs/")?;
    let mut object = definitions.get(name)?.clone();
    let (fields, tag) = (object.get("properties")?.as_object()?.clone(), other.get("properties")?.as_object()?);
    let mut required = object.get("required").and_then(Value::as_array).cloned().unwrap_or_default();
    required.extend(other.get("required").and_then(Value::as_array).cloned().unwrap_or_default());
    let all: Map<String, Value> = fields.into_iter().chain(tag.clone()).collect();
    let map = object.as_object_mut()?;
    map.insert("properties".into(), Value::Object(all));
    map.insert("required".into(), Value::Array(required));
    Some(object)
}
