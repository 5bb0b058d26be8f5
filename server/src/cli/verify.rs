//! `handsel verify BUNDLE.zip`: whether everything in a bundle holds.

use handsel_documents::bundle::{Verdict, verify};
use std::fmt::Write;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

/// Why a bundle does not pass.
#[derive(Debug)]
pub enum VerifyError {
    Unreadable(std::path::PathBuf, std::io::Error),
    /// What does not hold, one line each.
    Problems(String),
}

impl std::fmt::Display for VerifyError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unreadable(file, e) => write!(f, "{} cannot be read: {e}", file.display()),
            Self::Problems(words) => f.write_str(words),
        }
    }
}

impl std::error::Error for VerifyError {}

/// Checks a bundle. `key`: the operator's key id, where it is known from elsewhere.
///
/// # Errors
/// [`VerifyError`]: the file cannot be read, or something in it does not hold.
pub fn run(file: &Path, key: Option<&str>) -> Result<String, VerifyError> {
    let unreadable = |e| VerifyError::Unreadable(file.to_owned(), e);
    let verdict = verify(BufReader::new(File::open(file).map_err(unreadable)?), key);
    if verdict.problems.is_empty() { Ok(passed(&verdict, key)) } else { Err(failed(&verdict)) }
}

fn failed(verdict: &Verdict) -> VerifyError {
    let mut words = format!("{} things do not hold:", verdict.problems.len());
    for problem in &verdict.problems {
        // A String takes everything that is written to it.
        let _written = write!(words, "\n  {problem}");
    }
    VerifyError::Problems(words)
}

fn passed(verdict: &Verdict, key: Option<&str>) -> String {
    let id = verdict.key_id.as_deref().unwrap_or_default();
    let whose = if key.is_some() {
        "it is the key that was named"
    } else {
        "whose key that is, the operator can say: compare the id, or name it with --key"
    };
    format!(
        "Everything holds: {} files, {} seals, {} lines reckoned anew.\nSigned with the key {id}; {whose}.",
        verdict.files, verdict.seals, verdict.lines
    )
}
