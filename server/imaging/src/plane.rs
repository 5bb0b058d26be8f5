//! A picture of one number a pixel, and the filters that the other modules share.

use crate::num::{count, f, floor, int, size, whole};
use image::{GrayImage, RgbImage};
use std::ops::Range;

/// Rows of numbers, from the top left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    width: usize,
    height: usize,
    data: Vec<f32>,
}

impl Plane {
    /// One value everywhere.
    #[must_use]
    pub fn flat(width: usize, height: usize, value: f32) -> Self {
        Self { width, height, data: vec![value; width * height] }
    }

    /// Values by place.
    pub fn from_fn(width: usize, height: usize, mut value: impl FnMut(usize, usize) -> f32) -> Self {
        let mut data = Vec::with_capacity(width * height);
        for y in 0..height {
            data.extend((0..width).map(|x| value(x, y)));
        }
        Self { width, height, data }
    }

    /// Grey levels 0 to 255.
    #[must_use]
    pub fn of_gray(image: &GrayImage) -> Self {
        let data = image.as_raw().iter().map(|v| f32::from(*v)).collect();
        Self { width: size(image.width()), height: size(image.height()), data }
    }

    /// Luma 0 to 255 with the weights of ITU-R BT.601, as JPEG has it.
    #[must_use]
    pub fn luma(image: &RgbImage) -> Self {
        let data = image
            .pixels()
            .map(|p| 0.299 * f32::from(p.0[0]) + 0.587 * f32::from(p.0[1]) + 0.114 * f32::from(p.0[2]))
            .collect();
        Self { width: size(image.width()), height: size(image.height()), data }
    }

    /// One colour channel, 0 to 255.
    pub(crate) fn channel(image: &RgbImage, which: usize) -> Self {
        let data = image.pixels().map(|p| p.0.get(which).map_or(0.0, |v| f32::from(*v))).collect();
        Self { width: size(image.width()), height: size(image.height()), data }
    }

    /// Values row by row; what is lacking is 0.
    pub(crate) fn of_values(width: usize, height: usize, mut data: Vec<f32>) -> Self {
        data.resize(width * height, 0.0);
        Self { width, height, data }
    }

    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// Row by row.
    #[must_use]
    pub fn values(&self) -> &[f32] {
        &self.data
    }

    pub(crate) fn values_mut(&mut self) -> &mut [f32] {
        &mut self.data
    }

    pub(crate) fn rows(&self) -> std::slice::ChunksExact<'_, f32> {
        self.data.chunks_exact(self.width.max(1))
    }

    pub(crate) fn row(&self, y: usize) -> &[f32] {
        let y = y.min(self.height.saturating_sub(1));
        self.data.get(y * self.width..(y + 1) * self.width).unwrap_or(&[])
    }

    /// The value of a place; beyond the border, that of the border.
    #[inline]
    pub(crate) fn at(&self, x: i32, y: i32) -> f32 {
        let x = usize::try_from(x).unwrap_or(0).min(self.width - 1);
        let y = usize::try_from(y).unwrap_or(0).min(self.height - 1);
        self.data.get(y * self.width + x).copied().unwrap_or(0.0)
    }

    pub(crate) fn get(&self, x: usize, y: usize) -> f32 {
        self.data.get(y * self.width + x).copied().unwrap_or(0.0)
    }

    pub(crate) fn set(&mut self, x: usize, y: usize, value: f32) {
        if let Some(v) = self.data.get_mut(y * self.width + x) {
            *v = value;
        }
    }

    /// Between four pixels, linearly.
    #[inline]
    pub(crate) fn sample(&self, x: f32, y: f32) -> f32 {
        let (x0, y0) = (floor(x), floor(y));
        let (ax, ay) = (x - whole(x0), y - whole(y0));
        let inside = x0 >= 0 && y0 >= 0 && x0 + 1 < int(self.width) && y0 + 1 < int(self.height);
        if inside {
            let start = usize::try_from(y0).unwrap_or(0) * self.width + usize::try_from(x0).unwrap_or(0);
            if let (Some([a, b]), Some([c, d])) =
                (self.data.get(start..start + 2), self.data.get(start + self.width..start + self.width + 2))
            {
                return (a + (b - a) * ax) * (1.0 - ay) + (c + (d - c) * ax) * ay;
            }
        }
        let top = self.at(x0, y0) * (1.0 - ax) + self.at(x0 + 1, y0) * ax;
        let bottom = self.at(x0, y0 + 1) * (1.0 - ax) + self.at(x0 + 1, y0 + 1) * ax;
        top * (1.0 - ay) + bottom * ay
    }

    pub(crate) fn map(&self, of: impl Fn(f32) -> f32) -> Self {
        Self { width: self.width, height: self.height, data: self.data.iter().map(|v| of(*v)).collect() }
    }

    pub(crate) fn with(&self, other: &Self, of: impl Fn(f32, f32) -> f32) -> Self {
        let data = self.data.iter().zip(&other.data).map(|(a, b)| of(*a, *b)).collect();
        Self { width: self.width, height: self.height, data }
    }

    /// The other way round: columns become rows.
    pub(crate) fn transposed(&self) -> Self {
        let mut data = vec![0.0; self.data.len()];
        for (y, row) in self.rows().enumerate() {
            for (to, value) in data.iter_mut().skip(y).step_by(self.height.max(1)).zip(row) {
                *to = *value;
            }
        }
        Self { width: self.height, height: self.width, data }
    }

    /// A Gaussian, cut off at three sigmas, the border mirrored without repeating its pixel.
    #[must_use]
    pub fn gaussian(&self, sigma: f32) -> Self {
        self.gaussian_to(sigma, count((3.0 * sigma).max(1.0)))
    }

    /// A Gaussian cut off at a radius.
    #[must_use]
    pub fn gaussian_to(&self, sigma: f32, radius: usize) -> Self {
        let half: Vec<f32> = (0..=radius).map(|i| (-0.5 * (f(i) / sigma).powi(2)).exp()).collect();
        let sum = half.iter().skip(1).sum::<f32>() * 2.0 + half.first().copied().unwrap_or(1.0);
        let half: Vec<f32> = half.into_iter().map(|w| w / sum).collect();
        self.across(&half).down(&half)
    }

    /// A symmetric kernel along the rows, given by its middle and one side.
    fn across(&self, half: &[f32]) -> Self {
        let radius = half.len() - 1;
        let mut data = Vec::with_capacity(self.data.len());
        let mut padded: Vec<f32> = Vec::with_capacity(self.width + 2 * radius);
        for row in self.rows() {
            padded.clear();
            let beyond = |at: i32| row.get(mirrored(at, int(self.width) - 1)).copied().unwrap_or(0.0);
            padded.extend((0..radius).map(|i| beyond(int(i) - int(radius))));
            padded.extend_from_slice(row);
            padded.extend((0..radius).map(|i| beyond(int(self.width + i))));
            let start = data.len();
            let middle = half.first().copied().unwrap_or(1.0);
            data.extend(row.iter().map(|v| v * middle));
            let Some(out) = data.get_mut(start..) else { continue };
            for (i, weight) in half.iter().enumerate().skip(1) {
                // Slices rather than skipped iterators, which the compiler does not turn into wide instructions.
                let left = padded.get(radius - i..).unwrap_or(&[]);
                let right = padded.get(radius + i..).unwrap_or(&[]);
                for ((to, a), b) in out.iter_mut().zip(left).zip(right) {
                    *to += (a + b) * weight;
                }
            }
        }
        Self { width: self.width, height: self.height, data }
    }

    /// The same along columns, all of them at a time.
    fn down(&self, half: &[f32]) -> Self {
        let mut data = Vec::with_capacity(self.data.len());
        let last = int(self.height) - 1;
        for y in 0..self.height {
            let start = data.len();
            let middle = half.first().copied().unwrap_or(1.0);
            data.extend(self.row(y).iter().map(|v| v * middle));
            let Some(out) = data.get_mut(start..) else { continue };
            for (i, weight) in half.iter().enumerate().skip(1) {
                let line = |at: i32| self.row(mirrored(at, last));
                let lines = line(int(y) - int(i)).iter().zip(line(int(y + i)));
                out.iter_mut().zip(lines).for_each(|(to, (a, b))| *to += (a + b) * weight);
            }
        }
        Self { width: self.width, height: self.height, data }
    }

    /// The mean over a square of side `2 radius + 1`, fewer at the border.
    #[must_use]
    pub fn mean(&self, radius: usize) -> Self {
        self.mean_across(radius).mean_down(radius)
    }

    fn mean_across(&self, radius: usize) -> Self {
        let inside = |x: usize| (x + radius + 1).min(self.width) - x.saturating_sub(radius);
        let shares: Vec<f64> = (0..self.width).map(|x| 1.0 / crate::num::d(inside(x).max(1))).collect();
        let mut data = Vec::with_capacity(self.data.len());
        // Nothing lies beyond either end.
        let mut padded = vec![0.0; self.width + 2 * radius + 1];
        for row in self.rows() {
            if let Some(middle) = padded.get_mut(radius + 1..=radius + self.width) {
                middle.copy_from_slice(row);
            }
            let (first, coming) = padded.split_at(2 * radius + 1);
            let mut sum: f64 = first.iter().map(|v| f64::from(*v)).sum();
            data.extend(coming.iter().zip(&padded).zip(&shares).map(|((coming, going), share)| {
                sum += f64::from(*coming) - f64::from(*going);
                crate::num::single(sum * share)
            }));
        }
        Self { width: self.width, height: self.height, data }
    }

    /// The same along columns, all of them at a time.
    fn mean_down(&self, radius: usize) -> Self {
        let mut sums = vec![0.0_f64; self.width];
        let add = |sums: &mut [f64], y: usize, by: f64| {
            sums.iter_mut().zip(self.row(y)).for_each(|(sum, v)| *sum += by * f64::from(*v));
        };
        (0..radius.min(self.height)).for_each(|y| add(&mut sums, y, 1.0));
        let mut inside = radius.min(self.height);
        let mut data = Vec::with_capacity(self.data.len());
        for y in 0..self.height {
            if y + radius < self.height {
                add(&mut sums, y + radius, 1.0);
                inside += 1;
            }
            if let Some(going) = y.checked_sub(radius + 1) {
                add(&mut sums, going, -1.0);
                inside -= 1;
            }
            let share = 1.0 / crate::num::d(inside.max(1));
            data.extend(sums.iter().map(|sum| crate::num::single(sum * share)));
        }
        Self { width: self.width, height: self.height, data }
    }

    /// Half the size, each pixel the mean of four.
    pub(crate) fn halved(&self) -> Self {
        let (width, height) = ((self.width / 2).max(1), (self.height / 2).max(1));
        let mut data = Vec::with_capacity(width * height);
        for y in 0..height {
            let (top, bottom) = (self.row(2 * y), self.row(2 * y + 1));
            let fours = top.chunks_exact(2).zip(bottom.chunks_exact(2));
            data.extend(fours.map(|(a, b)| (a.iter().sum::<f32>() + b.iter().sum::<f32>()) / 4.0));
            if let ([a], [b]) = (top, bottom) {
                data.push((a + b) / 2.0);
            }
        }
        Self { width, height, data }
    }

    /// To another size, linearly; for growing and for shrinking by less than two.
    pub(crate) fn scaled(&self, width: usize, height: usize) -> Self {
        self.scaled_rows(width, height, 0..height)
    }

    /// Some rows of what it is to another size.
    pub(crate) fn scaled_rows(&self, width: usize, height: usize, rows: Range<usize>) -> Self {
        let columns = between(self.width, width, 0..width);
        let many = rows.len();
        let mut data = Vec::with_capacity(width * many);
        let mut line = vec![0.0; self.width];
        for (top, bottom, down) in between(self.height, height, rows) {
            let rows = self.row(top).iter().zip(self.row(bottom));
            line.iter_mut().zip(rows).for_each(|(v, (t, b))| *v = t + (b - t) * down);
            data.extend(columns.iter().map(|(left, right, along)| match (line.get(*left), line.get(*right)) {
                (Some(l), Some(r)) => l + (r - l) * along,
                _ => 0.0,
            }));
        }
        Self { width, height: many, data }
    }

    /// Some of its rows.
    pub(crate) fn band(&self, rows: Range<usize>) -> Self {
        let data = self.data.get(rows.start * self.width..rows.end * self.width).unwrap_or(&[]).to_vec();
        Self { width: self.width, height: rows.len(), data }
    }

    /// Central differences along rows and columns.
    pub(crate) fn gradients(&self) -> (Self, Self) {
        let mut gx = Vec::with_capacity(self.data.len());
        let mut gy = Vec::with_capacity(self.data.len());
        for y in 0..self.height {
            let (up, row, down) = (self.row(y.saturating_sub(1)), self.row(y), self.row(y + 1));
            let before = row.first().into_iter().chain(row);
            let after = row.iter().skip(1).chain(row.last());
            gx.extend(before.zip(after).map(|(a, b)| (b - a) * 0.5));
            gy.extend(up.iter().zip(down).map(|(a, b)| (b - a) * 0.5));
        }
        let plane = |data| Self { width: self.width, height: self.height, data };
        (plane(gx), plane(gy))
    }

    /// The value below which a share of all values lies.
    pub(crate) fn quantile(&self, share: f32) -> f32 {
        quantile(self.data.clone(), share)
    }
}

/// The value below which a share of the values lies; 0 of none.
pub(crate) fn quantile(mut values: Vec<f32>, share: f32) -> f32 {
    if values.is_empty() {
        return 0.0;
    }
    let last = values.len() - 1;
    let (_, value, _) = values.select_nth_unstable_by(count(share * f(last)).min(last), f32::total_cmp);
    *value
}

/// For each of so many places along a side, the two of another number that it lies between, and how far from the first.
fn between(these: usize, many: usize, which: Range<usize>) -> Vec<(usize, usize, f32)> {
    let step = f(these) / f(many);
    let inside = |at: i32| usize::try_from(at).unwrap_or(0).min(these.saturating_sub(1));
    let place = |k| {
        let at = (f(k) + 0.5) * step - 0.5;
        let first = floor(at);
        (inside(first), inside(first + 1), at - whole(first))
    };
    which.map(place).collect()
}

/// A place along a side, that beyond either end mirrored at it without repeating the end.
fn mirrored(at: i32, last: i32) -> usize {
    if last <= 0 {
        return 0;
    }
    // Kernels are shorter than a row twice mirrored, but a picture may be a few pixels wide.
    let period = 2 * last;
    let at = at.rem_euclid(period);
    usize::try_from(if at > last { period - at } else { at }).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn filters_keep_a_flat_picture_flat() {
        let flat = Plane::flat(13, 7, 40.0);
        for filtered in [flat.gaussian(2.0), flat.mean(3), flat.halved(), flat.scaled(20, 9)] {
            assert!(filtered.values().iter().all(|v| (v - 40.0).abs() < 1e-3), "{filtered:?}");
        }
    }

    #[test]
    fn a_mean_counts_only_what_is_inside() {
        let ramp = Plane::from_fn(5, 1, |x, _| f(x));
        assert_eq!(ramp.mean(1).values(), [0.5, 1.0, 2.0, 3.0, 3.5]);
        assert_eq!(ramp.transposed().mean(1).values(), [0.5, 1.0, 2.0, 3.0, 3.5]);
        assert!(ramp.mean(9).values().iter().all(|v| (v - 2.0).abs() < 1e-6));
    }

    #[test]
    fn another_size_is_sampled_where_its_pixels_lie() {
        let wave = Plane::from_fn(6, 5, |x, y| (f(x) * 1.3 + f(y) * 0.7).sin());
        for (width, height) in [(24, 20), (7, 11), (4, 3)] {
            let scaled = wave.scaled(width, height);
            for (x, y) in (0..height).flat_map(|y| (0..width).map(move |x| (x, y))) {
                let at = |k: usize, few: usize, many: usize| (f(k) + 0.5) * f(few) / f(many) - 0.5;
                let expected = wave.sample(at(x, 6, width), at(y, 5, height));
                assert!((scaled.get(x, y) - expected).abs() < 1e-5, "{width} {height} {x} {y}");
            }
        }
    }

    #[test]
    fn samples_lie_between_pixels_and_stay_at_the_border() {
        let ramp = Plane::from_fn(4, 4, |x, y| f(x + 10 * y));
        assert!((ramp.sample(1.5, 2.25) - 24.0).abs() < 1e-5);
        assert!((ramp.sample(-3.0, 9.0) - 30.0).abs() < 1e-5);
    }
}
