//! Dependence runs one way: http, then app, then store and blobs, then the domain.

use crate::source::{files, root};
use std::fs;

/// Lines of code, without comments and tests.
fn code(text: &str) -> impl Iterator<Item = &str> {
    let before_tests = text.split("#[cfg(test)]").next().unwrap_or_default();
    before_tests.lines().filter(|line| !line.trim_start().starts_with("//"))
}

/// Places in a folder that name one of these.
fn naming(folder: &str, names: &[&str], but: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for (file, text) in files(folder) {
        if but.iter().any(|b| file.starts_with(b)) {
            continue;
        }
        for line in code(&text) {
            if names.iter().any(|name| line.contains(name)) {
                found.push(format!("{folder}/{file}: {}", line.trim()));
            }
        }
    }
    found
}

#[track_caller]
fn none(found: &[String]) {
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn the_store_knows_nothing_above_it() {
    none(&naming("server/src/store", &["crate::app", "crate::http", "crate::blobs", "actix", "handsel_imaging"], &[]));
}

#[test]
fn blobs_know_nothing_above_them() {
    none(&naming("server/src/blobs", &["crate::app", "crate::http", "crate::store", "actix", "sea_orm"], &[]));
}

#[test]
fn jobs_know_nothing_above_or_beside_them() {
    let beside = ["crate::app", "crate::http", "crate::store", "crate::blobs", "actix", "sea_orm", "handsel_imaging"];
    none(&naming("server/src/jobs", &beside, &[]));
}

#[test]
fn who_is_outside_knows_nothing_within() {
    let within = ["crate::app", "crate::http", "crate::store", "crate::blobs", "crate::jobs", "actix", "sea_orm"];
    none(&naming("server/src/outside", &within, &[]));
    none(&naming("server/src", &["lettre::", "reqwest::", "rustls::"], &["outside/"]));
}

#[test]
fn what_can_be_done_knows_neither_http_nor_sql() {
    none(&naming("server/src/app", &["crate::http", "crate::startup", "actix", "sea_orm", "StatusCode"], &[]));
}

#[test]
fn http_reaches_only_what_can_be_done() {
    none(&naming(
        "server/src/http",
        &[
            "crate::store",
            "crate::blobs",
            "crate::outside",
            "handsel_documents",
            "handsel_imaging",
            "handsel_bank",
            "sea_orm",
        ],
        &[],
    ));
}

#[test]
fn only_http_names_the_web_framework_and_only_the_store_the_database() {
    none(&naming("server/src", &["actix"], &["http/", "main.rs", "startup.rs"]));
    none(&naming("server/src", &["sea_orm::", "sea_orm_migration::", "sqlx::"], &["store/"]));
    none(&naming("server/src", &["object_store::"], &["blobs/"]));
}

#[test]
fn the_domain_stays_pure() {
    let manifest = fs::read_to_string(root().join("server/domain/Cargo.toml")).unwrap();
    let normal = manifest.split("[dev-dependencies]").next().unwrap();
    for name in ["actix", "sea-orm", "tokio", "reqwest", "rand", "handsel-"] {
        let names = normal.lines().filter(|l| l.starts_with(name)).count();
        assert_eq!(names, 0, "{name} in the domain's dependencies");
    }
    none(&naming("server/domain/src", &["std::fs", "std::net", "std::env", "SystemTime", "Utc::now"], &[]));
}

#[test]
fn files_stay_small_enough_to_read() {
    let long: Vec<String> = ["server/src", "server/imaging/src", "migrations/src", "tests/src"]
        .iter()
        .flat_map(|folder| files(folder).into_iter().map(move |(file, text)| (format!("{folder}/{file}"), text)))
        .filter(|(_, text)| text.lines().count() > 400)
        .map(|(file, text)| format!("{file}: {} lines", text.lines().count()))
        .collect();
    none(&long);
}
