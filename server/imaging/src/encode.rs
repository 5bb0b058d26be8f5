//! Copies as files: nothing but pixels.

use crate::IngestError;
use image::RgbImage;
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use webp::WebPConfig;

/// The kinds of file that copies are served as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    Jpeg,
    WebP,
}

impl Encoding {
    pub const ALL: [Self; 2] = [Self::Jpeg, Self::WebP];

    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::WebP => "image/webp",
        }
    }
}

/// Fine enough to judge a scratch by, and a third of the size of 95.
const JPEG_QUALITY: u8 = 85;
/// Looks like the JPEG and takes about two thirds of its bytes.
const WEBP_QUALITY: f32 = 80.0;
/// How hard WebP tries, 0 to 6: 2 takes half the time of the usual 4 for a few per cent more bytes.
const WEBP_METHOD: i32 = 2;

/// # Errors
/// The image is larger than the format can be.
pub fn encode(image: &RgbImage, encoding: Encoding) -> Result<Vec<u8>, IngestError> {
    match encoding {
        Encoding::Jpeg => jpeg(image),
        Encoding::WebP => webp(image),
    }
}

fn failed(error: &dyn std::fmt::Display) -> IngestError {
    IngestError::damaged(format!("no copy can be written of it: {error}"))
}

fn jpeg(image: &RgbImage) -> Result<Vec<u8>, IngestError> {
    let side = |pixels: u32| u16::try_from(pixels).map_err(|e| failed(&e));
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, JPEG_QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    encoder
        .encode(image.as_raw(), side(image.width())?, side(image.height())?, ColorType::Rgb)
        .map_err(|e| failed(&e))?;
    Ok(bytes)
}

fn webp(image: &RgbImage) -> Result<Vec<u8>, IngestError> {
    let mut config = WebPConfig::new().map_err(|()| failed(&"WebP has no settings"))?;
    config.quality = WEBP_QUALITY;
    config.method = WEBP_METHOD;
    let encoder = webp::Encoder::from_rgb(image.as_raw(), image.width(), image.height());
    let bytes = encoder.encode_advanced(&config).map_err(|e| failed(&format!("{e:?}")))?;
    Ok(bytes.to_vec())
}
