//! The description the app for the browser is built from is the one the server gives.

use crate::source::root;
use handsel::http::openapi;
use std::fs;

#[test]
fn the_kept_description_is_up_to_date() {
    let path = root().join("tests/snapshots/openapi.json");
    let now = openapi::describe().to_pretty_json().unwrap() + "\n";
    if std::env::var("HANDSEL_UPDATE_SNAPSHOTS").is_ok_and(|v| v == "1") {
        fs::write(&path, &now).unwrap();
        return;
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    let differs = kept.lines().zip(now.lines()).position(|(a, b)| a != b);
    assert!(
        kept == now,
        "tests/snapshots/openapi.json is stale (first at line {:?}): run `HANDSEL_UPDATE_SNAPSHOTS=1 cargo test -p \
         handsel-tests --test coverage` and commit it",
        differs.map(|line| line + 1)
    );
}
