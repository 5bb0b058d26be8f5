//! Copies to look at.

use crate::ingest::upright;
use crate::{IngestError, Limits};
use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;

/// Fine enough to judge a scratch by, and a third of the size of 95.
const QUALITY: u8 = 85;

/// A JPEG no longer than `max_edge` on either side, upright, and with nothing of the original but its pixels. Never
/// enlarged.
///
/// # Errors
/// [`IngestError`] for bytes that [`crate::ingest`] would not have taken.
pub fn derivative(bytes: &[u8], limits: &Limits, max_edge: u32) -> Result<Vec<u8>, IngestError> {
    let (_, image) = upright(bytes, limits)?;
    let image = if image.width().max(image.height()) > max_edge {
        // The triangle filter averages over every pixel that falls together: no scratch is skipped over.
        image.resize(max_edge, max_edge, FilterType::Triangle)
    } else {
        image
    };
    let mut jpeg = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut jpeg, QUALITY);
    image.to_rgb8().write_with_encoder(encoder).map_err(|e| IngestError::Unreadable(e.to_string()))?;
    Ok(jpeg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{DynamicImage, GenericImageView, ImageFormat, Rgb, RgbImage};
    use std::io::Cursor;

    fn jpeg(width: u32, height: u32) -> Vec<u8> {
        // Left half red, right half blue.
        let image =
            RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([255, 0, 0]) } else { Rgb([0, 0, 255]) });
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::from(image).write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
        bytes.into_inner()
    }

    /// Puts an EXIF block with this orientation behind the start of a JPEG.
    fn held(orientation: u8, jpeg: &[u8]) -> Vec<u8> {
        let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
        let length = u16::try_from(exif.len() + 2).unwrap();
        let mut bytes = jpeg[..2].to_vec();
        bytes.extend([0xFF, 0xE1]);
        bytes.extend(length.to_be_bytes());
        bytes.extend(exif);
        bytes.extend(&jpeg[2..]);
        bytes
    }

    #[test]
    fn a_picture_taken_sideways_comes_out_upright_and_plain() {
        // Orientation 6: the camera was turned, the picture is to be turned a quarter clockwise; left becomes top.
        let bytes = held(6, &jpeg(64, 32));
        let plain = derivative(&bytes, &Limits::default(), 1600).unwrap();
        let image = image::load_from_memory(&plain).unwrap();
        assert_eq!(image.dimensions(), (32, 64));
        assert!(image.get_pixel(16, 8)[0] > 200, "red at the top");
        assert!(image.get_pixel(16, 56)[2] > 200, "blue at the bottom");
        assert!(!plain.windows(4).any(|w| w == b"Exif"));
    }

    #[test]
    fn copies_are_made_smaller_and_never_larger() {
        let small = derivative(&jpeg(640, 320), &Limits::default(), 320).unwrap();
        assert_eq!(image::load_from_memory(&small).unwrap().dimensions(), (320, 160));
        let same = derivative(&jpeg(64, 32), &Limits::default(), 320).unwrap();
        assert_eq!(image::load_from_memory(&same).unwrap().dimensions(), (64, 32));
    }
}
