//! A copy of everything that is kept, taken while the server serves, and put back where nothing is yet.
//!
//! A backup is a folder. `handsel.db` holds every row, in SQLite whichever database they come from, so that they can go
//! back into either; `photos/` the photographs and what was made of them, `seal-key.pem` the key that signs seals.
//! `backup.json` says what each of them must be. It is written last: a folder without it is no backup.

mod manifest;
mod restore;
mod take;

pub use restore::{Restored, restore};
pub use take::{Taken, take};

use std::fmt;
use std::path::Path;

const DATABASE: &str = "handsel.db";
const PHOTOS: &str = "photos";
const SEAL_KEY: &str = "seal-key.pem";

/// Why nothing was copied, or not all.
#[derive(Debug)]
pub struct BackupError {
    what: String,
    why: String,
}

impl fmt::Display for BackupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.what, self.why)
    }
}

impl std::error::Error for BackupError {}

impl BackupError {
    fn of(what: impl Into<String>, why: impl fmt::Display) -> Self {
        Self { what: what.into(), why: why.to_string() }
    }

    fn at<E: fmt::Display>(path: &Path) -> impl FnOnce(E) -> Self {
        let what = path.display().to_string();
        move |why| Self { what, why: why.to_string() }
    }
}

/// The address of a SQLite file, which may be made.
fn sqlite(file: &Path) -> String {
    // What an address would take for something else.
    let path = file.display().to_string().replace('%', "%25").replace('?', "%3F");
    format!("sqlite://{path}?mode=rwc")
}
