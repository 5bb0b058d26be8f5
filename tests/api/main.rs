//! The HTTP API, from outside: a real server for each test, on SQLite and on PostgreSQL.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test fails by panicking")]

mod auth;
mod bank;
mod briefings;
mod bundles;
mod conflicts;
mod copies;
mod edits;
mod erasure;
mod hires;
mod lists;
mod money;
mod money_at_random;
mod office;
mod operations;
mod operations_at_random;
mod papers;
mod path;
mod payments;
mod photos;
mod pointers;
mod problems;
mod register;
mod repeated;
mod repeats;
mod reports;
mod scope;
mod seals;
mod sweep;
mod today;
mod upgrade;
mod uploads;
mod walk;
mod web;
