//! Looks at what came in, by its content, before any pixel of it is decoded.

use crate::{IngestError, Limits};
use image::codecs::{jpeg::JpegDecoder, png::PngDecoder, webp::WebPDecoder};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageResult};
use sha2::{Digest, Sha256};
use std::io::Cursor;

/// A kind of image that is taken in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    Jpeg,
    Png,
    WebP,
}

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
        let brand = bytes.get(4..12);
        if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
            Ok(Self::Jpeg)
        } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            Ok(Self::Png)
        } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            Ok(Self::WebP)
        } else if brand.is_some_and(|b| {
            b.starts_with(b"ftyp")
                && [b"heic", b"heix", b"heif", b"hevc", b"mif1", b"msf1"].iter().any(|h| b.ends_with(*h))
        }) {
            Err(IngestError::Heic)
        } else {
            Err(IngestError::UnknownFormat)
        }
    }
}

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

/// Looks at an uploaded photograph: its kind by its content, its size before it is decoded, then that it can be
/// decoded to its end.
///
/// # Errors
/// [`IngestError`], whose words say what to do.
pub fn ingest(bytes: &[u8], limits: &Limits) -> Result<Ingested, IngestError> {
    let (format, image) = upright(bytes, limits)?;
    Ok(Ingested {
        media_type: format.media_type(),
        width: image.width(),
        height: image.height(),
        sha256: Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect(),
    })
}

/// The pixels, turned as the camera was held.
pub(crate) fn upright(bytes: &[u8], limits: &Limits) -> Result<(Format, DynamicImage), IngestError> {
    if bytes.len() > limits.bytes {
        return Err(IngestError::TooManyBytes { limit: limits.bytes });
    }
    let format = Format::of(bytes)?;
    let unreadable = |e: image::ImageError| IngestError::Unreadable(e.to_string());
    let (mut image, orientation) = match format {
        Format::Jpeg => decode(JpegDecoder::new(Cursor::new(bytes)).map_err(unreadable)?, limits),
        Format::Png => decode(PngDecoder::new(Cursor::new(bytes)).map_err(unreadable)?, limits),
        Format::WebP => decode(WebPDecoder::new(Cursor::new(bytes)).map_err(unreadable)?, limits),
    }?;
    image.apply_orientation(orientation);
    Ok((format, image))
}

fn decode(mut decoder: impl ImageDecoder, limits: &Limits) -> Result<(DynamicImage, Orientation), IngestError> {
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > limits.pixels {
        return Err(IngestError::TooManyPixels { width, height, limit: limits.pixels });
    }
    let unreadable = |e: image::ImageError| IngestError::Unreadable(e.to_string());
    let mut memory = image::Limits::default();
    // Eight bytes a pixel is what the widest of the three formats decodes to, and decoders need room to work.
    memory.max_alloc = Some(limits.pixels.saturating_mul(16));
    decoder.set_limits(memory).map_err(unreadable)?;
    // A camera that wrote nonsense about how it was held is taken to have been held upright.
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let image: ImageResult<DynamicImage> = DynamicImage::from_decoder(decoder);
    Ok((image.map_err(unreadable)?, orientation))
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageFormat, RgbImage};

    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::from(RgbImage::new(width, height)).write_to(&mut bytes, ImageFormat::Png).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn the_kind_is_read_from_the_content() {
        let found = ingest(&png(3, 2), &Limits::default()).unwrap();
        assert_eq!((found.media_type, found.width, found.height), ("image/png", 3, 2));
    }

    #[test]
    fn pixels_are_counted_before_they_are_decoded() {
        // A header that promises 60 000 x 60 000 pixels, and nothing behind it.
        let mut bytes = png(1, 1);
        bytes[16..24].copy_from_slice(&[0, 0, 0xEA, 0x60, 0, 0, 0xEA, 0x60]);
        let crc = {
            let mut crc = u32::MAX;
            for byte in &bytes[12..29] {
                crc ^= u32::from(*byte);
                for _ in 0..8 {
                    crc = if crc & 1 == 1 { crc >> 1 ^ 0xEDB8_8320 } else { crc >> 1 };
                }
            }
            !crc
        };
        bytes[29..33].copy_from_slice(&crc.to_be_bytes());
        let refused = ingest(&bytes, &Limits::default()).unwrap_err();
        assert_eq!(refused, IngestError::TooManyPixels { width: 60_000, height: 60_000, limit: 60_000_000 });
    }

    #[test]
    fn heic_is_named_and_anything_else_is_not_an_image() {
        let heic = b"\0\0\0\x18ftypheic\0\0\0\0heic";
        assert_eq!(ingest(heic, &Limits::default()).unwrap_err(), IngestError::Heic);
        assert_eq!(ingest(b"<svg/>", &Limits::default()).unwrap_err(), IngestError::UnknownFormat);
    }

    #[test]
    fn a_cut_off_image_is_damaged() {
        let mut bytes = png(64, 64);
        bytes.truncate(bytes.len() / 2);
        assert!(matches!(ingest(&bytes, &Limits::default()), Err(IngestError::Unreadable(_))));
    }

    #[test]
    fn bytes_are_limited() {
        let limits = Limits { bytes: 10, ..Limits::default() };
        assert_eq!(ingest(&png(1, 1), &limits).unwrap_err(), IngestError::TooManyBytes { limit: 10 });
    }
}
