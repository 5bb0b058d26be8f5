//! Smaller copies. Every pixel of the original has its share in the copy: no scratch is skipped over.

use crate::IngestError;
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use image::RgbImage;

/// Rows of the copy that are made at once.
const BAND: u32 = 64;
/// Rows that the filter reaches beyond a band, rounded up.
const MARGIN: u32 = 4;

fn failed(error: &dyn std::fmt::Display) -> IngestError {
    IngestError::damaged(format!("it cannot be made smaller: {error}"))
}

/// The size within an edge, never larger than it was.
pub(crate) fn fit(width: u32, height: u32, edge: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= edge {
        return (width, height);
    }
    let scaled = |side: u32| {
        let exact = u64::from(side) * u64::from(edge);
        let longest = u64::from(longest);
        u32::try_from((exact + longest / 2) / longest).unwrap_or(edge).max(1)
    };
    (scaled(width), scaled(height))
}

/// A copy within an edge.
///
/// Lanczos windows as wide as the reduction asks for, on the levels as they are stored. A copy is made in bands of
/// rows; where the reduction leaves room for it, they are written over the original, which is given up as they come: a
/// large photograph is never held twice.
pub(crate) fn within(image: RgbImage, edge: u32) -> Result<RgbImage, IngestError> {
    let (width, height) = fit(image.width(), image.height(), edge);
    if (width, height) == image.dimensions() {
        return Ok(image);
    }
    let scale = Scale { from: image.dimensions(), to: (width, height) };
    let pixels = image.into_raw();
    let made = if scale.leaves_room() { scale.in_place(pixels)? } else { scale.apart(&pixels)? };
    RgbImage::from_raw(width, height, made).ok_or_else(|| failed(&"the copy has another size"))
}

#[derive(Clone, Copy)]
struct Scale {
    from: (u32, u32),
    to: (u32, u32),
}

impl Scale {
    /// Whether rows of the copy end well before the rows of the original that are still needed: by a quarter.
    fn leaves_room(self) -> bool {
        u64::from(self.from.0) * 4 >= u64::from(self.to.0) * 5 && u64::from(self.from.1) * 4 >= u64::from(self.to.1) * 5
    }

    fn bands(self) -> impl Iterator<Item = (u32, u32)> {
        let height = self.to.1;
        (0..height.div_ceil(BAND)).map(move |n| (n * BAND, ((n + 1) * BAND).min(height)))
    }

    fn in_place(self, mut pixels: Vec<u8>) -> Result<Vec<u8>, IngestError> {
        let mut resizer = Resizer::new();
        let mut written = 0;
        for band in self.bands() {
            let rows = self.band(&mut resizer, &pixels, band)?;
            let place = pixels.get_mut(written..written + rows.len()).ok_or_else(|| failed(&"a band has no room"))?;
            place.copy_from_slice(&rows);
            written += rows.len();
        }
        pixels.truncate(written);
        pixels.shrink_to_fit();
        Ok(pixels)
    }

    fn apart(self, pixels: &[u8]) -> Result<Vec<u8>, IngestError> {
        let mut resizer = Resizer::new();
        let mut made = Vec::new();
        for band in self.bands() {
            made.extend(self.band(&mut resizer, pixels, band)?);
        }
        Ok(made)
    }

    /// Rows of the copy, from one to before another.
    fn band(self, resizer: &mut Resizer, pixels: &[u8], (from, to): (u32, u32)) -> Result<Vec<u8>, IngestError> {
        let (first, last) = (from.saturating_sub(MARGIN), (to + MARGIN).min(self.to.1));
        let whole = f64::from(self.from.1);
        let each = whole / f64::from(self.to.1);
        let top = f64::from(first) * each;
        // The last band ends where the image does, not a rounding error behind it.
        let height = (f64::from(last - first) * each).min(whole - top);
        let source = ImageRef::new(self.from.0, self.from.1, pixels, PixelType::U8x3).map_err(|e| failed(&e))?;
        let mut rows = Image::new(self.to.0, last - first, PixelType::U8x3);
        let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3)).crop(
            0.0,
            top,
            f64::from(self.from.0),
            height,
        );
        resizer.resize(&source, &mut rows, &options).map_err(|e| failed(&e))?;
        let row = usize::try_from(self.to.0).map_err(|e| failed(&e))? * 3;
        let skip = usize::try_from(from - first).map_err(|e| failed(&e))? * row;
        let length = usize::try_from(to - from).map_err(|e| failed(&e))? * row;
        let mut made = rows.into_vec();
        made.truncate(skip + length);
        made.drain(..skip);
        Ok(made)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    fn pattern(width: u32, height: u32) -> RgbImage {
        let level = |v: u32| u8::try_from(v % 256).unwrap();
        RgbImage::from_fn(width, height, |x, y| Rgb([level(x * 3 + y), level(x ^ y), level(y * 5)]))
    }

    #[test]
    fn bands_join_without_a_seam() {
        for (from, edge) in [((700, 900), 400), ((900, 700), 720), ((333, 1000), 999), ((640, 480), 100)] {
            let image = pattern(from.0, from.1);
            let (width, height) = fit(from.0, from.1, edge);
            let whole = {
                let source = ImageRef::new(from.0, from.1, image.as_raw(), PixelType::U8x3).unwrap();
                let mut made = Image::new(width, height, PixelType::U8x3);
                let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
                Resizer::new().resize(&source, &mut made, &options).unwrap();
                made.into_vec()
            };
            let scale = Scale { from, to: (width, height) };
            let apart = RgbImage::from_raw(width, height, scale.apart(image.as_raw()).unwrap()).unwrap();
            for made in [apart, within(image, edge).unwrap()] {
                assert_eq!(made.dimensions(), (width, height));
                let apart = made.as_raw().iter().zip(&whole).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
                assert!(apart <= 1, "{from:?} to {edge}: {apart}");
            }
        }
    }

    #[test]
    fn a_thin_line_is_still_there() {
        // One dark row of 3000, between rows that are sampled and rows that are not.
        let mut image = RgbImage::from_pixel(2000, 3000, Rgb([200, 200, 200]));
        for x in 0..2000 {
            image.put_pixel(x, 1503, Rgb([0, 0, 0]));
        }
        let small = within(image, 300).unwrap();
        let darkest = small.pixels().map(|p| p[0]).min().unwrap();
        assert!(darkest < 190, "{darkest}");
    }

    #[test]
    fn nothing_is_enlarged() {
        assert_eq!(fit(64, 32, 320), (64, 32));
        assert_eq!(fit(4000, 3000, 2560), (2560, 1920));
        assert_eq!(fit(1, 16_000, 320), (1, 320));
    }
}
