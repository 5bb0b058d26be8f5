//! Between columns and typed values.

use super::error::{StoreError, Stored};
use chrono::{DateTime, Utc};
use handsel_domain::money::{Currency, Money};
use handsel_domain::time::Instant;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

fn damaged(what: &str, why: impl std::fmt::Display) -> StoreError {
    StoreError::Damaged(format!("{what}: {why}"))
}

/// A word of a fixed set, such as a status.
pub(super) fn word<T: Serialize>(what: &str, value: &T) -> Stored<String> {
    match serde_json::to_value(value) {
        Ok(Value::String(word)) => Ok(word),
        Ok(other) => Err(damaged(what, format!("`{other}` is not one word"))),
        Err(error) => Err(damaged(what, error)),
    }
}

pub(super) fn from_word<T: DeserializeOwned>(what: &str, word: &str) -> Stored<T> {
    serde_json::from_value(Value::String(word.to_owned())).map_err(|e| damaged(what, e))
}

pub(super) fn json<T: Serialize>(what: &str, value: &T) -> Stored<Value> {
    serde_json::to_value(value).map_err(|e| damaged(what, e))
}

pub(super) fn json_opt<T: Serialize>(what: &str, value: Option<&T>) -> Stored<Option<Value>> {
    value.map(|v| json(what, v)).transpose()
}

pub(super) fn from_json<T: DeserializeOwned>(what: &str, value: Value) -> Stored<T> {
    serde_json::from_value(value).map_err(|e| damaged(what, e))
}

pub(super) fn from_json_opt<T: DeserializeOwned>(what: &str, value: Option<Value>) -> Stored<Option<T>> {
    value.map(|v| from_json(what, v)).transpose()
}

pub(super) fn small(what: &str, number: i64) -> Stored<u32> {
    u32::try_from(number).map_err(|e| damaged(what, e))
}

pub(super) fn at(moment: DateTime<Utc>) -> Instant {
    Instant::from_utc(moment)
}

pub(super) fn money(what: &str, minor: i64, currency: &str) -> Stored<Money> {
    let currency =
        Currency::from_code(currency).ok_or_else(|| damaged(what, format!("unknown currency {currency}")))?;
    Ok(Money::new(minor, currency))
}
