//! `handsel photo compare` as a command: one pair, or pair after pair in a running process.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn picture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos/pairs").join(name)
}

fn compare(arguments: &[&str], input: &str) -> Output {
    let mut running = Command::new(env!("CARGO_BIN_EXE_handsel"))
        .args(["photo", "compare"])
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    running.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    running.wait_with_output().unwrap()
}

fn json(line: &str) -> Value {
    serde_json::from_str(line).unwrap()
}

#[test]
fn pairs_are_answered_line_by_line_as_each_would_be_alone() {
    let path = |name: &str| picture(name).to_str().unwrap().to_owned();
    let (before, after) = (path("p011-before.jpg"), path("p012-after.jpg"));
    let (other, missing) = (path("p001-before.jpg"), path("no-such.jpg"));
    let input = format!("{before}\t{after}\n{before}\t{missing}\n{before} {after}\n{before}\t{other}\n");
    let told = compare(&["--pairs"], &input);
    let lines = String::from_utf8(told.stdout).unwrap();
    let lines: Vec<Value> = lines.lines().map(json).collect();
    let alone =
        |after: &str| json(&String::from_utf8(compare(&[&before, after, "--format", "json"], "").stdout).unwrap());
    assert_eq!(lines.len(), 4);
    assert_eq!(lines[0], alone(&after));
    assert_eq!(lines[3], alone(&other));
    assert_eq!((&lines[0]["aligned"], &lines[3]["aligned"]), (&Value::Bool(true), &Value::Bool(false)));
    assert!(lines[1]["error"].as_str().unwrap().contains("no-such.jpg"));
    assert!(lines[2]["error"].as_str().unwrap().contains("apart by a tab"));
    assert_eq!(told.status.code(), Some(2));
    assert!(String::from_utf8(told.stderr).unwrap().contains("2 of 4 pairs"));
}

#[test]
fn paths_and_pairs_exclude_each_other() {
    assert_eq!(compare(&[], "").status.code(), Some(2));
    assert_eq!(compare(&["a.jpg", "b.jpg", "--pairs"], "").status.code(), Some(2));
}
