//! Copies to look at: upright, in the colours of a screen, and with nothing of the original but its pixels.

use crate::container::walk;
use crate::decode::decode;
use crate::encode::{Encoding, encode};
use crate::scale::within;
use crate::{IngestError, Limits, colour};
use image::{DynamicImage, RgbImage};

/// The pixels of a photograph, no longer than an edge on either side. Never enlarged.
///
/// Decoded once. Turning and colours come after the reduction, when there is less to turn; the file's bytes may go as
/// soon as this returns.
///
/// # Errors
/// [`IngestError`] for bytes that [`crate::ingest`] would not have taken.
pub fn upright(bytes: &[u8], limits: &Limits, max_edge: u32) -> Result<RgbImage, IngestError> {
    let found = walk(bytes, limits)?;
    let mut image = within(decode(bytes, &found, limits)?, max_edge)?;
    if let Some(profile) = &found.profile
        && !found.grey
    {
        colour::to_screen(&mut image, profile);
    }
    let mut image = DynamicImage::from(image);
    image.apply_orientation(found.orientation);
    Ok(image.into_rgb8())
}

/// A copy made smaller; one that is small enough stays as it is.
///
/// # Errors
/// The image has no size.
pub fn smaller(image: RgbImage, max_edge: u32) -> Result<RgbImage, IngestError> {
    within(image, max_edge)
}

/// One copy as a file.
///
/// # Errors
/// [`IngestError`] for bytes that [`crate::ingest`] would not have taken.
pub fn derivative(bytes: &[u8], limits: &Limits, max_edge: u32, encoding: Encoding) -> Result<Vec<u8>, IngestError> {
    encode(&upright(bytes, limits, max_edge)?, encoding)
}
