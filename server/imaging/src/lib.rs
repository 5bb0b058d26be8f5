//! Pixels: what an uploaded photograph is, and smaller, upright, plain copies of it. Pure: bytes in, bytes out.

mod derive;
mod ingest;

pub use derive::derivative;
pub use ingest::{Format, Ingested, ingest};

use std::fmt;

/// What is taken in.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    pub bytes: usize,
    pub pixels: u64,
}

impl Default for Limits {
    /// 25 MiB and 60 megapixels.
    fn default() -> Self {
        Self { bytes: 25 * 1024 * 1024, pixels: 60_000_000 }
    }
}

/// Why a photograph is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum IngestError {
    TooManyBytes {
        limit: usize,
    },
    TooManyPixels {
        width: u32,
        height: u32,
        limit: u64,
    },
    /// A format of some telephones that browsers cannot show.
    Heic,
    /// Not JPEG, PNG or WebP, whatever its name says.
    UnknownFormat,
    /// Begins like an image, but cannot be read as one.
    Unreadable(String),
}

impl fmt::Display for IngestError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooManyBytes { limit } => {
                write!(f, "the photograph is larger than {} MiB: send a smaller copy", limit / (1024 * 1024))
            }
            Self::TooManyPixels { width, height, limit } => write!(
                f,
                "the photograph has {width} x {height} pixels, more than {} megapixels: send a smaller copy",
                limit / 1_000_000
            ),
            Self::Heic => f.write_str(
                "the photograph is HEIC, which not every browser shows: set the camera to its most compatible \
                 format (JPEG), or take the picture from within the app",
            ),
            Self::UnknownFormat => f.write_str("the bytes are not a JPEG, PNG or WebP image: send one of these"),
            Self::Unreadable(why) => write!(f, "the image is damaged or cut off ({why}): take or send it again"),
        }
    }
}

impl std::error::Error for IngestError {}
