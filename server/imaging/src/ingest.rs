//! Looks at what came in: by its content, before any pixel of it is decoded, and then to its last pixel.

use crate::container::{Format, Found, walk};
use crate::decode::check;
use crate::{IngestError, Limits};
use sha2::{Digest, Sha256};

/// What a photograph turned out to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ingested {
    pub media_type: &'static str,
    /// Upright.
    pub width: u32,
    pub height: u32,
    /// Of the bytes as they came, in lower-case hexadecimal.
    pub sha256: String,
}

/// A file that was walked and may be decoded.
#[derive(Clone, Debug)]
pub struct Walked(Found);

impl Walked {
    /// Most memory that decoding takes, in bytes.
    #[must_use]
    pub const fn memory(&self) -> u64 {
        self.0.memory
    }

    #[must_use]
    pub const fn format(&self) -> Format {
        self.0.format
    }

    /// Width and height as the camera was held.
    #[must_use]
    pub fn upright_size(&self) -> (u32, u32) {
        self.0.size()
    }
}

/// Walks a file: its kind by its content, its limits, its end, and what stands beside the picture. Decodes nothing.
///
/// `declared` is the media type it was sent as, where one was.
///
/// # Errors
/// [`IngestError`], whose words say what to do.
pub fn look(bytes: &[u8], limits: &Limits, declared: Option<&str>) -> Result<Walked, IngestError> {
    let found = walk(bytes, limits)?;
    match declared.map(essence).filter(|d| contradicts(d, found.format)) {
        Some(declared) => Err(IngestError::Contradicted { declared, found: found.format }),
        None => Ok(Walked(found)),
    }
}

/// Decodes what was walked to its end, and says what it is.
///
/// # Errors
/// [`IngestError`], whose words say what to do.
pub fn ingest(bytes: &[u8], walked: &Walked, limits: &Limits) -> Result<Ingested, IngestError> {
    let Walked(found) = walked;
    check(bytes, found, limits)?;
    let (width, height) = found.size();
    Ok(Ingested {
        media_type: found.format.media_type(),
        width,
        height,
        sha256: Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect(),
    })
}

fn essence(declared: &str) -> String {
    declared.split(';').next().unwrap_or_default().trim().to_ascii_lowercase()
}

/// Whether one kind of image was declared and another sent. A type that names no image declares nothing.
fn contradicts(declared: &str, found: Format) -> bool {
    match declared {
        "image/jpg" | "image/pjpeg" => found != Format::Jpeg,
        "image/*" => false,
        _ => declared.starts_with("image/") && declared != found.media_type(),
    }
}

#[cfg(test)]
mod tests;
