//! fixtures/case.schema.json is what the types say, and it accepts and refuses what they do.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use handsel_domain::case_schema;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures")
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

#[test]
fn the_committed_schema_is_not_stale() {
    let now = case_schema::schema().unwrap();
    let file = fixtures().join("case.schema.json");
    if std::env::var_os("HANDSEL_UPDATE_SNAPSHOTS").is_some() {
        fs::write(&file, serde_json::to_string_pretty(&now).unwrap() + "\n").unwrap();
    }
    assert_eq!(read(&file), now, "run with HANDSEL_UPDATE_SNAPSHOTS=1 and look at the difference");
}

#[test]
fn every_worked_case_fits_the_schema() {
    let validator = jsonschema::validator_for(&read(&fixtures().join("case.schema.json"))).unwrap();
    let mut seen = 0;
    for file in fs::read_dir(fixtures().join("cases")).unwrap() {
        let path = file.unwrap().path();
        if path.to_str().unwrap().ends_with(".case.json") {
            let faults: Vec<String> = validator.iter_errors(&read(&path)).map(|e| e.to_string()).collect();
            assert!(faults.is_empty(), "{}: {faults:?}", path.display());
            seen += 1;
        }
    }
    assert!(seen >= 25, "only {seen} cases");
}

#[test]
fn documents_of_the_wrong_shape_do_not_fit() {
    let validator = jsonschema::validator_for(&read(&fixtures().join("case.schema.json"))).unwrap();
    for name in ["missing_field", "unknown_currency", "binary_fraction", "unknown_field"] {
        let document = read(&fixtures().join(format!("cases/malformed/{name}.json")));
        assert!(!validator.is_valid(&document), "{name} fits the schema");
    }
}
