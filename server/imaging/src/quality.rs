//! Whether a photograph can be judged by: sharp, and neither too dark nor too bright. Advice to the person who can
//! still take it again, never a refusal.

use crate::num::{d, single};
use crate::plane::{Plane, quantile};
use image::RgbImage;

/// Long edge that pictures are measured at, so that the figures of two cameras can be compared.
pub const NORMAL_EDGE: u32 = 1024;

/// Side of the tiles that sharpness is looked for in, at the normal size.
const TILE: usize = 64;

/// Variance of the Laplacian, in squared grey levels, that the sharpest tiles of a sharp picture exceed. Set by
/// judgement: common practice, no source, and no value that holds for every camera.
const SHARP: f64 = 110.0;

/// What was measured of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quality {
    /// Variance of the Laplacian over the whole picture, in squared grey levels.
    pub sharpness: f64,
    /// The same of its sharpest tiles (the 95th percentile): a plain wall has nothing sharp in most of it.
    pub sharpest: f64,
    /// Mean grey level, 0 to 255.
    pub mean: f64,
    /// Share of pixels that are nearly black, 0 to 1.
    pub dark_share: f64,
    /// Share of pixels that are burnt out, 0 to 1.
    pub bright_share: f64,
}

/// What a person may want to put right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advice {
    Blurred,
    TooDark,
    TooBright,
}

impl Quality {
    /// What to tell the person; empty for a good picture.
    #[must_use]
    pub fn advice(&self) -> Vec<Advice> {
        let dark = self.mean < 45.0 || self.dark_share > 0.6;
        let bright = self.mean > 222.0 || self.bright_share > 0.4;
        // In the dark, or burnt out, everything is soft: light is what to see to first.
        let blurred = self.sharpest < SHARP && !dark && !bright;
        [(blurred, Advice::Blurred), (dark, Advice::TooDark), (bright, Advice::TooBright)]
            .into_iter()
            .filter_map(|(holds, advice)| holds.then_some(advice))
            .collect()
    }
}

/// Measures a picture, on a copy no longer than [`NORMAL_EDGE`].
#[must_use]
pub fn measure(image: &RgbImage) -> Quality {
    let longest = image.width().max(image.height());
    if longest > NORMAL_EDGE {
        let width = (u64::from(image.width()) * u64::from(NORMAL_EDGE) / u64::from(longest)).max(1);
        let height = (u64::from(image.height()) * u64::from(NORMAL_EDGE) / u64::from(longest)).max(1);
        let edge = |v: u64| u32::try_from(v).unwrap_or(NORMAL_EDGE);
        return of(&Plane::luma(&image::imageops::thumbnail(image, edge(width), edge(height))));
    }
    of(&Plane::luma(image))
}

fn of(luma: &Plane) -> Quality {
    let edges = laplacian(luma);
    let values = luma.values();
    let share = |holds: &dyn Fn(f32) -> bool| d(values.iter().filter(|v| holds(**v)).count()) / d(values.len().max(1));
    Quality {
        sharpness: variance(edges.values().iter().copied()),
        sharpest: sharpest(&edges),
        mean: values.iter().map(|v| f64::from(*v)).sum::<f64>() / d(values.len().max(1)),
        dark_share: share(&|v| v < 12.0),
        bright_share: share(&|v| v >= 250.0),
    }
}

/// The four neighbours less four times the middle; the border mirrored without repeating its pixel.
#[must_use]
pub fn laplacian(plane: &Plane) -> Plane {
    let (width, height) = (plane.width(), plane.height());
    let mirror = |place: usize, step: isize, length: usize| match (place.checked_add_signed(step), length) {
        (_, 1) => 0,
        (Some(p), _) if p < length => p,
        (Some(p), _) => p - 2,
        (None, _) => 1,
    };
    Plane::from_fn(width, height, |x, y| {
        let across = plane.get(mirror(x, -1, width), y) + plane.get(mirror(x, 1, width), y);
        let down = plane.get(x, mirror(y, -1, height)) + plane.get(x, mirror(y, 1, height));
        across + down - 4.0 * plane.get(x, y)
    })
}

/// Variance of the Laplacian, in squared grey levels: the usual measure of focus.
#[must_use]
pub fn variance_of_laplacian(plane: &Plane) -> f64 {
    variance(laplacian(plane).values().iter().copied())
}

fn variance(values: impl Iterator<Item = f32> + Clone) -> f64 {
    let count = d(values.clone().count().max(1));
    let mean = values.clone().map(f64::from).sum::<f64>() / count;
    values.map(|v| (f64::from(v) - mean).powi(2)).sum::<f64>() / count
}

fn sharpest(edges: &Plane) -> f64 {
    let (across, down) = (edges.width().div_ceil(TILE), edges.height().div_ceil(TILE));
    let tiles = (0..across * down).map(|i| {
        let (left, top) = ((i % across) * TILE, (i / across) * TILE);
        let rows = edges.rows().skip(top).take(TILE);
        single(variance(rows.flat_map(move |row| row.iter().skip(left).take(TILE).copied())))
    });
    f64::from(quantile(tiles.collect(), 0.95))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::byte;
    use image::Rgb;

    fn chequers(level: impl Fn(u32, u32) -> f32) -> RgbImage {
        RgbImage::from_fn(512, 384, |x, y| Rgb([byte(level(x, y)); 3]))
    }

    fn board(x: u32, y: u32) -> f32 {
        if (x / 16 + y / 16).is_multiple_of(2) { 60.0 } else { 190.0 }
    }

    #[test]
    fn a_sharp_picture_gets_no_advice_and_its_blurred_copy_does() {
        let sharp = chequers(board);
        assert_eq!(measure(&sharp).advice(), []);
        let soft = image::imageops::blur(&sharp, 6.0);
        assert_eq!(measure(&soft).advice(), [Advice::Blurred]);
    }

    #[test]
    fn one_sharp_thing_before_a_plain_wall_is_sharp() {
        let wall = chequers(|x, y| if x < 128 && y < 128 { board(x, y) } else { 128.0 });
        assert_eq!(measure(&wall).advice(), []);
    }

    #[test]
    fn light_is_judged_by_mean_and_by_what_is_lost() {
        assert_eq!(measure(&chequers(|x, y| board(x, y) * 0.15)).advice(), [Advice::TooDark]);
        assert_eq!(measure(&chequers(|x, y| 190.0 + board(x, y))).advice(), [Advice::TooBright]);
    }
}
