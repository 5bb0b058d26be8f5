//! `handsel backup FOLDER` and `handsel restore FOLDER`.

use crate::backup::{self, BackupError};
use crate::config::{ConfigError, Places};
use crate::effects::Effects;
use crate::outside::prepare;
use crate::store::copy::Rows;
use std::fmt;
use std::path::Path;

/// Why a backup was not taken or not put back.
#[derive(Debug)]
pub enum Failed {
    Configuration(ConfigError),
    Copy(BackupError),
    /// It was taken, but of these photographs the bytes are no longer those that came.
    Damaged(String, Vec<String>),
}

impl fmt::Display for Failed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Configuration(error) => error.fmt(f),
            Self::Copy(error) => error.fmt(f),
            Self::Damaged(done, names) => {
                write!(
                    f,
                    "{done}\n{} photographs are damaged where they are kept, and were copied as they are; look for them \
                     in an earlier backup:",
                    names.len()
                )?;
                names.iter().try_for_each(|name| write!(f, "\n  {name}"))
            }
        }
    }
}

impl std::error::Error for Failed {}

/// Copies everything that is kept into a folder.
///
/// # Errors
/// [`Failed`].
pub async fn take(places: Result<Places, ConfigError>, to: &Path, effects: &Effects) -> Result<String, Failed> {
    let places = places.map_err(Failed::Configuration)?;
    prepare();
    let taken = backup::take(&places, to, effects).await.map_err(Failed::Copy)?;
    let done = format!(
        "{} holds {} rows, {} photographs and copies of them ({} MiB), and the key of the seals. The HANDSEL_… settings \
         are not in it.",
        to.display(),
        sum(&taken.rows),
        taken.photos,
        taken.bytes.div_ceil(1 << 20)
    );
    if taken.damaged.is_empty() { Ok(done) } else { Err(Failed::Damaged(done, taken.damaged)) }
}

/// Puts a backup back.
///
/// # Errors
/// [`Failed`].
pub async fn restore(places: Result<Places, ConfigError>, from: &Path) -> Result<String, Failed> {
    let places = places.map_err(Failed::Configuration)?;
    prepare();
    let restored = backup::restore(from, &places).await.map_err(Failed::Copy)?;
    Ok(format!(
        "{} rows and {} photographs and copies of them are back, as they were at {}. Start the server with the same \
         settings.",
        sum(&restored.rows),
        restored.photos,
        restored.taken_at.utc().to_rfc3339()
    ))
}

fn sum(rows: &Rows) -> u64 {
    rows.values().sum()
}
