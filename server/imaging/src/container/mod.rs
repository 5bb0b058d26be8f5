//! What a file is, by its content: each kind of container is walked from end to end, by its own lengths, before any
//! pixel of it is decoded.

mod jpeg;
mod png;
mod read;
mod trailer;
mod webp;

use crate::{IngestError, Limits};
use image::metadata::Orientation;
use memchr::memmem;

/// A kind of image that is taken in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    Jpeg,
    Png,
    WebP,
}

const PNG_BEGINS: &[u8] = b"\x89PNG\r\n\x1a\n";

impl Format {
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::WebP => "image/webp",
        }
    }

    /// By the bytes it begins with; names and headers are not believed.
    fn of(bytes: &[u8]) -> Result<Self, IngestError> {
        let begins = bytes.get(..bytes.len().min(1024)).unwrap_or_default();
        if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
            Ok(Self::Jpeg)
        } else if bytes.starts_with(PNG_BEGINS) {
            Ok(Self::Png)
        } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            Ok(Self::WebP)
        } else if let Some(error) = telephone(bytes) {
            Err(error)
        } else if let Some(at) = image_within(begins) {
            Err(IngestError::Polyglot { what: trailer::name(bytes).unwrap_or("something stands before an image"), at })
        } else {
            Err(IngestError::UnknownFormat { looks_like: trailer::name(bytes) })
        }
    }
}

/// The formats of telephones that are told apart by a brand.
fn telephone(bytes: &[u8]) -> Option<IngestError> {
    if bytes.get(4..8) != Some(b"ftyp") {
        return None;
    }
    match bytes.get(8..12)? {
        b"avif" | b"avis" => Some(IngestError::Avif),
        b"heic" | b"heix" | b"heif" | b"hevc" | b"heim" | b"heis" | b"mif1" | b"msf1" => Some(IngestError::Heic),
        _ => None,
    }
}

/// Where an image begins behind something else.
fn image_within(begins: &[u8]) -> Option<usize> {
    let jpegs: [&[u8]; 4] = [b"\xFF\xD8\xFF\xE0", b"\xFF\xD8\xFF\xE1", b"\xFF\xD8\xFF\xDB", b"\xFF\xD8\xFF\xE2"];
    jpegs.into_iter().chain([PNG_BEGINS]).filter_map(|begin| memmem::find(begins, begin)).min()
}

/// What the walk found: everything that decoding needs to know beforehand.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    pub(crate) format: Format,
    /// As stored, not yet turned.
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// Where the image ends; what follows is no part of it.
    pub(crate) end: usize,
    pub(crate) orientation: Orientation,
    /// The colour profile, where there is one.
    pub(crate) profile: Option<Vec<u8>>,
    /// What decoding takes, in bytes.
    pub(crate) memory: u64,
    /// Grey, without colour.
    pub(crate) grey: bool,
}

impl Found {
    /// Upright.
    pub(crate) fn size(&self) -> (u32, u32) {
        match self.orientation {
            Orientation::Rotate90
            | Orientation::Rotate270
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH => (self.height, self.width),
            _ => (self.width, self.height),
        }
    }
}

/// Walks a file from its first byte to its last.
pub(crate) fn walk(bytes: &[u8], limits: &Limits) -> Result<Found, IngestError> {
    if bytes.is_empty() {
        return Err(IngestError::Empty);
    }
    if bytes.len() > limits.bytes {
        return Err(IngestError::TooManyBytes { limit: limits.bytes });
    }
    let found = match Format::of(bytes)? {
        Format::Jpeg => jpeg::walk(bytes, limits)?,
        Format::Png => png::walk(bytes, limits)?,
        Format::WebP => webp::walk(bytes, limits)?,
    };
    trailer::check(bytes, found.end, found.format)?;
    if found.memory > limits.memory {
        return Err(IngestError::TooMuchMemory { needs: found.memory, limit: limits.memory });
    }
    Ok(found)
}

/// A size that can be decoded at all.
fn check_size(width: u32, height: u32, limits: &Limits) -> Result<(), IngestError> {
    if width == 0 || height == 0 {
        return Err(IngestError::NoSize { width, height });
    }
    if u64::from(width) * u64::from(height) > limits.pixels {
        return Err(IngestError::TooManyPixels { width, height, limit: limits.pixels });
    }
    if width.max(height) > limits.edge {
        return Err(IngestError::TooLong { width, height, limit: limits.edge });
    }
    Ok(())
}

/// How the camera was held. One that wrote nonsense about it is taken to have been held upright.
fn orientation(exif: &[u8]) -> Orientation {
    let tiff = exif.strip_prefix(b"Exif\0\0").unwrap_or(exif);
    Orientation::from_exif_chunk(tiff).unwrap_or(Orientation::NoTransforms)
}

/// Counts what stands beside the pixels, and looks through it.
#[derive(Debug)]
struct Beside {
    bytes: usize,
    limit: usize,
}

impl Beside {
    const fn new(limits: &Limits) -> Self {
        Self { bytes: 0, limit: limits.metadata }
    }

    fn add(&mut self, content: &[u8], at: usize) -> Result<(), IngestError> {
        self.bytes = self.bytes.saturating_add(content.len());
        if self.bytes > self.limit {
            return Err(IngestError::TooMuchMetadata { limit: self.limit });
        }
        trailer::no_script(content, at)
    }
}
