//! `handsel compare` as a command: every worked case to the minor unit, and every malformed one with one located
//! message and exit code 2.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/cases")
}

fn compare(file: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_handsel")).arg("compare").arg(file).args(arguments).output().unwrap()
}

fn read(file: &Path) -> Value {
    serde_json::from_slice(&fs::read(file).unwrap()).unwrap()
}

#[test]
fn every_worked_case_equals_its_expected_output() {
    let mut seen = 0;
    for file in fs::read_dir(cases()).unwrap() {
        let path = file.unwrap().path();
        let Some(stem) = path.to_str().unwrap().strip_suffix(".case.json") else { continue };
        let output = compare(&path, &["--format", "json"]);
        assert!(output.status.success(), "{stem}: {}", String::from_utf8_lossy(&output.stderr));
        let got: Value = serde_json::from_slice(&output.stdout).unwrap();
        let expected = read(Path::new(&format!("{stem}.expected.json")));
        let lines = |value: &Value| -> Vec<(String, String, i64)> {
            value["lines"].as_array().unwrap().iter().map(line).collect()
        };
        assert_eq!(lines(&got), lines(&expected), "{stem}");
        seen += 1;
    }
    assert!(seen >= 25, "only {seen} worked cases");
}

/// A line of either document: amounts are money there and minor units here.
fn line(line: &Value) -> (String, String, i64) {
    let minor = |value: &Value| value["minor"].as_i64().or_else(|| value.as_i64()).unwrap();
    let words = |name: &str| line[name].as_str().unwrap().to_owned();
    (words("key"), words("state"), minor(&line["if_charged"]))
}

#[test]
fn every_malformed_case_exits_with_2_and_one_located_message() {
    let expected = read(&cases().join("malformed.expected.json"));
    for (name, wanted) in expected.as_object().unwrap() {
        let output = compare(&cases().join(format!("malformed/{name}.json")), &[]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(output.stdout.is_empty(), "{name} also printed a result");
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(said.trim().lines().count(), 1, "{name}: {said}");
        for part in ["path", "says"] {
            assert!(said.contains(wanted[part].as_str().unwrap()), "{name} says: {said}");
        }
    }
}

#[test]
fn ten_megabytes_of_nesting_exit_with_2_and_a_place() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("nested.json");
    fs::write(&file, vec![b'['; 10 * 1024 * 1024]).unwrap();
    let output = compare(&file, &[]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.trim().lines().count() == 1 && said.contains("line 1 column"), "{said}");
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let output = compare(Path::new("nowhere.json"), &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("nowhere.json"));
}

#[test]
fn the_text_explains_itself_in_both_languages() {
    let file = cases().join("02_fuel_two_eighths.case.json");
    for (lang, words) in
        [("en", "(8/8 − 6/8) × 90 l tank = 22.5 l missing."), ("de", "(8/8 − 6/8) × 90 l Tank = 22,5 l fehlen.")]
    {
        let output = compare(&file, &["--lang", lang]);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(said.contains(words), "{said}");
    }
}
