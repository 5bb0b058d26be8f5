//! Whoever sets a server up finds every setting in the example.

use crate::source::{files, root};
use std::collections::BTreeSet;
use std::fs;

/// Names of variables in a text.
fn named(text: &str) -> BTreeSet<String> {
    let after = text.split("\"HANDSEL_").skip(1);
    let rest = after.map(|t| t.chars().take_while(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || *c == '_'));
    // A name that is put together elsewhere is not one.
    rest.map(String::from_iter).filter(|name| !name.is_empty()).map(|name| format!("HANDSEL_{name}")).collect()
}

#[test]
fn every_setting_is_in_the_example() {
    let read: BTreeSet<String> = files("server/src").iter().flat_map(|(_, text)| named(text)).collect();
    assert!(read.contains("HANDSEL_DATABASE_URL") && read.contains("HANDSEL_S3_REGION"), "{read:?}");
    let example = fs::read_to_string(root().join("deploy/env.example")).unwrap();
    let told: BTreeSet<String> = example
        .lines()
        .filter_map(|line| line.trim_start_matches('#').split_once('='))
        .map(|(name, _)| name.to_owned())
        .filter(|name| name.starts_with("HANDSEL_") && !name.contains(' '))
        .collect();
    assert_eq!(told, read);
}
