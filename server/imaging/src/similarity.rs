//! Whether two photographs are the same picture, stored another way.

use crate::num::{d, single};
use crate::plane::{Plane, quantile};
use image::{GrayImage, RgbImage};
use std::fmt;
use std::str::FromStr;

/// Side of the picture that frequencies are taken of.
const SIDE: usize = 32;
/// Lowest frequencies kept each way.
const KEPT: usize = 8;

/// What a picture looks like, in 128 bits that survive another size, another compression and a little light.
///
/// The first half are the signs of the lowest frequencies against their median, the second whether each pixel of a
/// 9 x 8 copy is darker than the one to its right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Fingerprint {
    pub frequencies: u64,
    pub gradients: u64,
}

impl Fingerprint {
    /// Bits of each half that may differ between copies of one picture. In the published table, copies stored at half
    /// the size, as JPEG of half quality or 20 levels brighter differ from their original in at most 3.
    pub const SAME: u32 = 3;

    /// Bits that differ in the frequencies and in the gradients.
    #[must_use]
    pub const fn distance(self, other: Self) -> (u32, u32) {
        ((self.frequencies ^ other.frequencies).count_ones(), (self.gradients ^ other.gradients).count_ones())
    }

    /// Whether the two are likely to be one picture. A picture with next to nothing on it is like any other such, and
    /// never the same.
    #[must_use]
    pub fn same(self, other: Self) -> bool {
        let (frequencies, gradients) = self.distance(other);
        frequencies <= Self::SAME && gradients <= Self::SAME && self.tells() && other.tells()
    }

    /// Enough of either bit to mean something.
    fn tells(self) -> bool {
        (8..=56).contains(&self.gradients.count_ones())
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}{:016x}", self.frequencies, self.gradients)
    }
}

/// A text that is no fingerprint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAFingerprint(String);

impl fmt::Display for NotAFingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no fingerprint: it takes 32 hexadecimal digits", self.0)
    }
}

impl std::error::Error for NotAFingerprint {}

impl FromStr for Fingerprint {
    type Err = NotAFingerprint;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let wrong = || NotAFingerprint(text.to_owned());
        let digits = text.len() == 32 && text.bytes().all(|b| b.is_ascii_hexdigit());
        let (frequencies, gradients) = text.split_at_checked(16).filter(|_| digits).ok_or_else(wrong)?;
        let half = |digits: &str| u64::from_str_radix(digits, 16).map_err(|_| wrong());
        Ok(Self { frequencies: half(frequencies)?, gradients: half(gradients)? })
    }
}

/// The fingerprint of a picture.
#[must_use]
pub fn fingerprint(image: &RgbImage) -> Fingerprint {
    // A large picture is brought near by averaging first: the slow filter then has little left to do.
    let gray = if image.width().min(image.height()) > 512 {
        let half = |edge: u32| (edge / (image.width().min(image.height()) / 256)).max(1);
        image::imageops::grayscale(&image::imageops::thumbnail(image, half(image.width()), half(image.height())))
    } else {
        image::imageops::grayscale(image)
    };
    fingerprint_of_gray(&gray)
}

/// The fingerprint of grey levels.
#[must_use]
pub fn fingerprint_of_gray(gray: &GrayImage) -> Fingerprint {
    let plane = Plane::of_gray(gray);
    let small = |width, height| lanczos(&plane, width, height);
    Fingerprint { frequencies: frequency_bits(&small(32, 32)), gradients: gradient_bits(&small(9, 8)) }
}

/// A picture made smaller with the Lanczos window of three lobes, first across and then down, each time to whole grey
/// levels: published hashes are of pictures made small in this order.
fn lanczos(plane: &Plane, width: usize, height: usize) -> Plane {
    let across = lanczos_across(plane, width);
    lanczos_across(&across.transposed(), height).transposed()
}

fn lanczos_across(plane: &Plane, width: usize) -> Plane {
    const LOBES: f64 = 3.0;
    let times = d(plane.width()) / d(width);
    let stretch = times.max(1.0);
    let taps: Vec<(usize, Vec<f64>)> = (0..width)
        .map(|x| {
            let middle = (d(x) + 0.5) * times;
            let first = crate::num::count(single((middle - LOBES * stretch).round().max(0.0)));
            let end = crate::num::count(single((middle + LOBES * stretch).round())).min(plane.width());
            let weights: Vec<f64> = (first..end).map(|i| window((d(i) - middle + 0.5) / stretch)).collect();
            let sum: f64 = weights.iter().sum();
            (first, weights.into_iter().map(|w| w / sum).collect())
        })
        .collect();
    Plane::from_fn(width, plane.height(), |x, y| {
        let Some((first, weights)) = taps.get(x) else { return 0.0 };
        let values = plane.row(y).iter().skip(*first);
        let sum: f64 = values.zip(weights).map(|(v, w)| f64::from(*v) * w).sum();
        single(sum.round().clamp(0.0, 255.0))
    })
}

/// The sinc function under its own first lobe, stretched to three.
fn window(x: f64) -> f64 {
    let sinc = |x: f64| if x == 0.0 { 1.0 } else { (x * std::f64::consts::PI).sin() / (x * std::f64::consts::PI) };
    if x.abs() < 3.0 { sinc(x) * sinc(x / 3.0) } else { 0.0 }
}

/// Whether each of the 8 x 8 lowest frequencies of a 32 x 32 picture exceeds their median, row by row, the first bit
/// highest.
#[must_use]
pub fn frequency_bits(small: &Plane) -> u64 {
    let low = cosines(&cosines(small).transposed()).transposed();
    let kept: Vec<f32> = low.rows().take(KEPT).flat_map(|row| row.iter().take(KEPT).copied()).collect();
    let count = kept.len();
    let median = (quantile(kept.clone(), 0.5) + lower_middle(kept.clone(), count)) / 2.0;
    bits(kept.into_iter().map(|v| v > median))
}

/// The lower of the two middle values of an even number of them.
fn lower_middle(mut values: Vec<f32>, count: usize) -> f32 {
    values.sort_by(f32::total_cmp);
    values.get((count / 2).saturating_sub(1)).copied().unwrap_or(0.0)
}

/// Whether each pixel of a 9 x 8 picture is darker than its right neighbour, row by row, the first bit highest.
#[must_use]
pub fn gradient_bits(small: &Plane) -> u64 {
    bits(small.rows().flat_map(|row| row.iter().zip(row.iter().skip(1)).map(|(a, b)| b > a)))
}

fn bits(set: impl Iterator<Item = bool>) -> u64 {
    set.fold(0, |word, bit| word << 1 | u64::from(bit))
}

/// The discrete cosine transform (second kind, not normalised) of every row; the lowest frequencies are enough.
fn cosines(plane: &Plane) -> Plane {
    Plane::from_fn(SIDE, plane.height(), |k, y| {
        let step = std::f64::consts::PI * d(k) / d(2 * plane.width());
        let row = plane.row(y).iter().enumerate();
        single(row.map(|(n, v)| 2.0 * f64::from(*v) * (step * d(2 * n + 1)).cos()).sum())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::byte;
    use image::{Rgb, imageops};

    fn yard() -> RgbImage {
        RgbImage::from_fn(400, 300, |x, y| {
            let (x, y) = (f64::from(x), f64::from(y));
            let v = 120.0 + 60.0 * (x / 37.0 + y / 80.0).sin() + 50.0 * (y / 23.0 - x / 90.0).cos();
            let level = |v: f64| byte(single(v));
            Rgb([level(v), level(v / 2.0 + 40.0), 90])
        })
    }

    #[test]
    fn another_size_is_the_same_picture_and_its_mirror_is_not() {
        let picture = yard();
        let copy = imageops::thumbnail(&picture, 250, 188);
        assert!(fingerprint(&picture).same(fingerprint(&copy)), "{} {}", fingerprint(&picture), fingerprint(&copy));
        assert!(!fingerprint(&picture).same(fingerprint(&imageops::flip_horizontal(&picture))));
    }

    #[test]
    fn two_blank_walls_are_not_called_the_same_picture() {
        let wall = |v| RgbImage::from_pixel(64, 64, Rgb([v; 3]));
        assert!(!fingerprint(&wall(200)).same(fingerprint(&wall(90))));
    }

    #[test]
    fn it_is_written_and_read() {
        let print = fingerprint(&yard());
        assert_eq!(print.to_string().parse(), Ok(print));
        for wrong in ["", "12", "é1234567890123456789012345678901", "+2345678901234567890123456789012"] {
            assert!(wrong.parse::<Fingerprint>().is_err(), "{wrong}");
        }
    }
}
