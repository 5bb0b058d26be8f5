//! The main job against published values. Each check names its source; the tables are in fixtures/reference.

#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test fails by panicking")]

mod battery;
mod energy;
mod independent;
mod money;
mod pictures;
mod seals;
mod times;
mod uncertainty;
mod units;

use handsel_domain::exact::Exact;
use std::collections::HashMap;
use std::path::Path;

/// The rows of a table in fixtures/reference, by column name.
fn table(name: &str) -> Vec<HashMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/reference").join(name);
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).from_path(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
    let rows: Vec<HashMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    assert!(!rows.is_empty(), "{name} has no rows");
    rows
}

/// A plain decimal of a table, exact.
fn exact(text: &str) -> Exact {
    text.trim_start_matches('+').parse().unwrap_or_else(|e| panic!("`{text}`: {e}"))
}
