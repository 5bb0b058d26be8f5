//! What is in a backup, and what each of it must be.

use super::BackupError;
use crate::store::copy::Rows;
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, ErrorKind, Read, Write};
use std::path::Path;

const NAME: &str = "backup.json";
pub(super) const FORMAT: &str = "handsel-backup-1";

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Manifest {
    pub(super) format: String,
    pub(super) taken_at: Instant,
    /// The last step of the schema that the rows are in.
    pub(super) schema: String,
    pub(super) rows: Rows,
    pub(super) database: Part,
    pub(super) seal_key: Part,
    /// By name, without the folders they lie in.
    pub(super) photos: BTreeMap<String, Part>,
}

/// What bytes must be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Part {
    pub(super) bytes: u64,
    pub(super) sha256: String,
}

impl Part {
    pub(super) fn of(bytes: &[u8]) -> Self {
        // No machine's memory is larger than such a number.
        let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        Self { bytes: length, sha256: hex::encode(Sha256::digest(bytes)) }
    }

    pub(super) fn of_file(path: &Path) -> io::Result<Self> {
        let mut file = File::open(path)?;
        let mut piece = vec![0; 1 << 16];
        let (mut hash, mut bytes) = (Sha256::new(), 0);
        loop {
            let count = file.read(&mut piece)?;
            let Some(read) = piece.get(..count).filter(|read| !read.is_empty()) else { break };
            hash.update(read);
            bytes += u64::try_from(count).map_err(io::Error::other)?;
        }
        Ok(Self { bytes, sha256: hex::encode(hash.finalize()) })
    }
}

impl Manifest {
    pub(super) fn write(&self, folder: &Path) -> Result<(), BackupError> {
        let path = folder.join(NAME);
        let text = serde_json::to_vec_pretty(self).map_err(BackupError::at(&path))?;
        let mut file = File::create(&path).map_err(BackupError::at(&path))?;
        file.write_all(&text).and_then(|()| file.sync_all()).map_err(BackupError::at(&path))
    }

    pub(super) fn read(folder: &Path) -> Result<Self, BackupError> {
        let path = folder.join(NAME);
        let text = std::fs::read(&path).map_err(|e| match e.kind() {
            ErrorKind::NotFound => BackupError::of(
                path.display().to_string(),
                "it is not there: either this is no backup, or taking it broke off and it is not whole",
            ),
            _ => BackupError::of(path.display().to_string(), e),
        })?;
        let found: Self = serde_json::from_slice(&text).map_err(BackupError::at(&path))?;
        if found.format == FORMAT {
            Ok(found)
        } else {
            let why = format!("its format is `{}`, and this program reads `{FORMAT}`", found.format);
            Err(BackupError::of(path.display().to_string(), why))
        }
    }
}
