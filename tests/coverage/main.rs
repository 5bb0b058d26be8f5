//! Things that must stay complete: every route described and guarded, every layer knowing only what is below it,
//! every problem code told by somebody.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod codes;
mod layers;
mod roles;
mod routes;
mod settings;
mod snapshot;
mod source;
