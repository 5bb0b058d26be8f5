//! The evidence bundle: one ZIP that holds everything a dispute can turn on, and can be checked without this program.
//!
//! Every file but two is listed in `SHA256SUMS`, in the format `sha256sum -c` reads; that list is signed (Ed25519,
//! RFC 8032) in `SHA256SUMS.sig`, 64 raw bytes that OpenSSL verifies with `key.pem`.

mod check;
mod contents;
mod readme;
mod write;

pub use check::{Problem, Verdict, raw_signature, verify};
pub use contents::{Addendum, Case, Contents, Dispute, Seal, Strokes, files};
pub use write::{BundleError, Writer};

/// The list of hashes, and its signature.
pub(crate) const SUMS: &str = "SHA256SUMS";
pub(crate) const SUMS_SIGNATURE: &str = "SHA256SUMS.sig";
/// The key that signed the list.
pub(crate) const KEY: &str = "key.pem";
pub(crate) const CASE: &str = "case.json";
pub(crate) const COMPARISON: &str = "comparison.json";
pub(crate) const LEDGER: &str = "ledger.json";
pub(crate) const STATEMENT: &str = "statement.json";
pub(crate) const DISPUTES: &str = "disputes.json";
pub(crate) const README: &str = "README.txt";
/// The walk-rounds' folders.
pub(crate) const LEGS: [&str; 2] = ["departure", "return"];
