//! What is in a bundle beside the photographs.

use super::readme::readme;
use super::write::BundleError;
use super::{CASE, COMPARISON, DISPUTES, KEY, LEDGER, README, STATEMENT};
use crate::Statement;
use handsel_domain::charges::Comparison;
use handsel_domain::deposit::Movement;
use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::money::Money;
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};

pub use handsel_domain::case::Case;

/// The seal of one walk-round, with what it seals.
#[derive(Clone, Debug)]
pub struct Seal {
    /// `departure` or `return`.
    pub leg: &'static str,
    /// Canonical JSON, empty once its content was erased.
    pub record: String,
    /// What is signed; empty once its content was erased.
    pub document: String,
    pub signature: Vec<u8>,
    pub public_key: String,
    pub strokes: Vec<Strokes>,
    pub addenda: Vec<Addendum>,
}

/// A drawn signature.
#[derive(Clone, Debug)]
pub struct Strokes {
    /// `hirer` or `staff`.
    pub role: String,
    /// Canonical JSON.
    pub text: String,
}

/// Something added after the seal.
#[derive(Clone, Debug)]
pub struct Addendum {
    pub document: String,
    pub signature: Vec<u8>,
    pub public_key: String,
}

/// One dispute with its answer.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Dispute {
    pub line: String,
    pub amount: Money,
    pub words: String,
    /// Hashes of the photographs that came with it.
    pub photos: Vec<String>,
    pub raised_at: Instant,
    pub after_settlement: bool,
    pub outcome: Option<DisputeOutcome>,
    pub answer: Option<String>,
    pub answered_at: Option<Instant>,
}

/// Everything but photographs and typeset documents.
#[derive(Clone, Debug)]
pub struct Contents {
    pub case: Case,
    pub comparison: Comparison,
    pub statement: Statement,
    pub ledger: Vec<Movement>,
    pub seals: Vec<Seal>,
    pub disputes: Vec<Dispute>,
    /// The key that signs the bundle, in PEM.
    pub public_key: String,
}

/// The files, by name.
///
/// # Errors
/// Something cannot be written as JSON; none of it is such.
pub fn files(of: &Contents) -> Result<Vec<(String, Vec<u8>)>, BundleError> {
    let mut files = vec![
        (README.to_owned(), readme(of).into_bytes()),
        (KEY.to_owned(), of.public_key.clone().into_bytes()),
        (CASE.to_owned(), json(&of.case)?),
        (COMPARISON.to_owned(), json(&of.comparison)?),
        (STATEMENT.to_owned(), json(&of.statement)?),
        (LEDGER.to_owned(), json(&of.ledger)?),
        (DISPUTES.to_owned(), json(&of.disputes)?),
    ];
    for seal in &of.seals {
        let folder = format!("inspections/{}", seal.leg);
        let mut put = |name: String, bytes: &[u8]| files.push((format!("{folder}/{name}"), bytes.to_vec()));
        if !seal.record.is_empty() {
            put("record.json".to_owned(), seal.record.as_bytes());
        }
        if !seal.document.is_empty() {
            put("seal.json".to_owned(), seal.document.as_bytes());
        }
        put("seal.sig".to_owned(), &seal.signature);
        put("key.pem".to_owned(), seal.public_key.as_bytes());
        for drawn in &seal.strokes {
            put(format!("signature-{}.json", drawn.role), drawn.text.as_bytes());
        }
        for (number, addendum) in (1..).zip(&seal.addenda) {
            put(format!("addendum-{number}.json"), addendum.document.as_bytes());
            put(format!("addendum-{number}.sig"), &addendum.signature);
            put(format!("addendum-{number}.pem"), addendum.public_key.as_bytes());
        }
    }
    Ok(files)
}

fn json<T: Serialize>(value: &T) -> Result<Vec<u8>, BundleError> {
    let mut bytes = serde_json::to_vec_pretty(value)?;
    bytes.push(b'\n');
    Ok(bytes)
}
