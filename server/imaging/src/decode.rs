//! Pixels out of a file that was walked.

use crate::container::{Format, Found};
use crate::{IngestError, Limits};
use image::RgbImage;
use image_webp::WebPDecoder;
use png::{ColorType, Decoder, Transformations};
use std::io::Cursor;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// The pixels as stored, not yet turned, in the colours they came in.
pub(crate) fn decode(bytes: &[u8], found: &Found, limits: &Limits) -> Result<RgbImage, IngestError> {
    let image = bytes.get(..found.end).unwrap_or(bytes);
    let pixels = match found.format {
        Format::Jpeg => jpeg(image, found, limits)?,
        Format::Png => png(image, found, limits)?,
        Format::WebP => webp(image, found, limits)?,
    };
    RgbImage::from_raw(found.width, found.height, pixels)
        .ok_or_else(|| IngestError::damaged("it holds fewer pixels than its header says"))
}

/// Bits that are no code in any table (all ones are kept free by the standard), as bytes of a scan.
const NO_CODE: [u8; 2] = [0xFF, 0x00];

/// That the picture can be read to its last pixel. A JPEG's reader takes an early end for grey pixels: so the end is
/// put off, behind bits that cannot be read as pixels.
pub(crate) fn check(bytes: &[u8], found: &Found, limits: &Limits) -> Result<(), IngestError> {
    let marked = match (found.format, found.end.checked_sub(2).and_then(|end| bytes.split_at_checked(end))) {
        (Format::Jpeg, Some((picture, _))) => Some([picture, &NO_CODE.repeat(64), &[0xFF, 0xD9]].concat()),
        _ => None,
    };
    match marked {
        Some(marked) => decode(&marked, &Found { end: marked.len(), ..found.clone() }, limits).map(drop),
        None => decode(bytes, found, limits).map(drop),
    }
}

fn damaged(what: &str, error: &dyn std::fmt::Display) -> IngestError {
    IngestError::damaged(format!("{what}: {error}"))
}

/// Room for so many bytes a pixel.
fn room(found: &Found, each: u64) -> Result<Vec<u8>, IngestError> {
    let bytes = u64::from(found.width) * u64::from(found.height) * each;
    let length = usize::try_from(bytes).map_err(|e| damaged("its size", &e))?;
    Ok(vec![0; length])
}

fn jpeg(bytes: &[u8], found: &Found, limits: &Limits) -> Result<Vec<u8>, IngestError> {
    let failed = |e| damaged("the JPEG's picture cannot be read to its end", &e);
    let edge = usize::try_from(limits.edge).unwrap_or(usize::MAX);
    let (colours, each) = if found.grey { (ColorSpace::Luma, 1) } else { (ColorSpace::RGB, 3) };
    // Strict: a picture that breaks off is refused, not filled up with grey.
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(edge)
        .set_max_height(edge)
        .jpeg_set_max_scans(limits.scans)
        .jpeg_set_out_colorspace(colours);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(failed)?;
    let mut pixels = room(found, each)?;
    decoder.decode_into(&mut pixels).map_err(failed)?;
    Ok(if found.grey { widen(&pixels) } else { pixels })
}

fn png(bytes: &[u8], found: &Found, limits: &Limits) -> Result<Vec<u8>, IngestError> {
    let failed = |e| damaged("the PNG's picture cannot be read to its end", &e);
    let memory = png::Limits { bytes: usize::try_from(limits.memory).unwrap_or(usize::MAX) };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), memory);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    // Eight bits a colour, whatever it came in; palettes as the colours they stand for.
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(failed)?;
    let length = reader.output_buffer_size().ok_or_else(|| IngestError::damaged("its size is beyond reckoning"))?;
    let mut pixels = vec![0; length];
    reader.next_frame(&mut pixels).map_err(failed)?;
    match reader.output_color_type().0 {
        ColorType::Rgb => Ok(pixels),
        ColorType::Rgba => Ok(on_white(pixels)),
        ColorType::Grayscale => Ok(widen(&pixels)),
        ColorType::GrayscaleAlpha => Ok(widen(&grey_on_white(&pixels))),
        ColorType::Indexed => Err(IngestError::damaged(format!("a palette of {} x {}", found.width, found.height))),
    }
}

fn webp(bytes: &[u8], found: &Found, limits: &Limits) -> Result<Vec<u8>, IngestError> {
    let failed = |e| damaged("the WebP's picture cannot be read to its end", &e);
    let mut decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(failed)?;
    decoder.set_memory_limit(usize::try_from(limits.memory).unwrap_or(usize::MAX));
    let alpha = decoder.has_alpha();
    let mut pixels = room(found, if alpha { 4 } else { 3 })?;
    decoder.read_image(&mut pixels).map_err(failed)?;
    Ok(if alpha { on_white(pixels) } else { pixels })
}

/// Grey as three equal colours.
fn widen(grey: &[u8]) -> Vec<u8> {
    grey.iter().flat_map(|level| [*level; 3]).collect()
}

/// A colour over white, as much of it as is not transparent.
fn over_white(level: u8, alpha: u8) -> u8 {
    let (level, alpha) = (u16::from(level), u16::from(alpha));
    let mixed = (level * alpha + 255 * (255 - alpha) + 127) / 255;
    u8::try_from(mixed).unwrap_or(u8::MAX)
}

/// Transparent pixels shown on white, narrowed from four bytes to three where they stand.
fn on_white(mut pixels: Vec<u8>) -> Vec<u8> {
    let count = pixels.len() / 4;
    for index in 0..count {
        let Some(&[red, green, blue, alpha]) = pixels.get(index * 4..).and_then(<[u8]>::first_chunk) else {
            break;
        };
        if let Some(place) = pixels.get_mut(index * 3..index * 3 + 3) {
            place.copy_from_slice(&[over_white(red, alpha), over_white(green, alpha), over_white(blue, alpha)]);
        }
    }
    pixels.truncate(count * 3);
    pixels.shrink_to_fit();
    pixels
}

fn grey_on_white(pixels: &[u8]) -> Vec<u8> {
    let mixed = |pixel: &[u8]| match pixel {
        [level, alpha] => over_white(*level, *alpha),
        _ => u8::MAX,
    };
    pixels.chunks_exact(2).map(mixed).collect()
}
