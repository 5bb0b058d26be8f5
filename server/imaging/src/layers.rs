//! Layers of small convolutional networks, and how their weights are read.
//!
//! Values are kept row by row, and within a row channel by channel, so that a row of all channels lies together and
//! rows can be shared out.

use ndarray::linalg::general_mat_mul;
use ndarray::{ArrayView2, ArrayViewMut2};
use rayon::prelude::*;
use std::ops::Range;

/// Rows of all channels.
#[derive(Clone, Debug)]
pub(crate) struct Rows {
    pub(crate) channels: usize,
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) data: Vec<f32>,
}

impl Rows {
    /// All channels of a row, one after the other.
    fn row(&self, y: usize) -> &[f32] {
        let length = self.channels * self.width;
        self.data.get(y * length..(y + 1) * length).unwrap_or(&[])
    }

    /// One channel of a row.
    pub(crate) fn line(&self, channel: usize, y: usize) -> &[f32] {
        self.row(y).get(channel * self.width..(channel + 1) * self.width).unwrap_or(&[])
    }

    /// One value.
    pub(crate) fn get(&self, channel: usize, x: usize, y: usize) -> f32 {
        self.data.get((y * self.channels + channel) * self.width + x).copied().unwrap_or(0.0)
    }

    /// Works out each row on its own, several at the same time.
    pub(crate) fn each(channels: usize, width: usize, height: usize, of: impl Fn(usize, &mut [f32]) + Sync) -> Self {
        Self::bands(channels, width, height, 1, of)
    }

    /// Works out bands of so many rows each, several at the same time.
    pub(crate) fn bands(
        channels: usize,
        width: usize,
        height: usize,
        rows: usize,
        of: impl Fn(usize, &mut [f32]) + Sync,
    ) -> Self {
        /// Fewer numbers are done before another thread has begun.
        const FEW: usize = 1 << 15;
        let length = (rows * channels * width).max(1);
        let mut data = vec![0.0; channels * width * height];
        let bands = data.par_chunks_mut(length).with_min_len(FEW / length + 1).enumerate();
        bands.for_each(|(k, band)| of(k * rows, band));
        Self { channels, width, height, data }
    }
}

/// A weighted sum of all channels at each place.
pub(crate) struct Mix {
    pub(crate) weights: Vec<f32>,
    pub(crate) bias: Vec<f32>,
}

impl Mix {
    /// Fills a row of outputs from one of inputs.
    fn row(&self, from: &[f32], to: &mut [f32], width: usize) {
        for (line, bias) in to.chunks_exact_mut(width.max(1)).zip(&self.bias) {
            line.fill(*bias);
        }
        let (inputs, outputs) = (from.len() / width.max(1), self.bias.len());
        let weights = ArrayView2::from_shape((outputs, inputs), &self.weights);
        let from = ArrayView2::from_shape((inputs, width), from);
        // Of rows and weights that belong to each other the numbers fit.
        if let (Ok(weights), Ok(from), Ok(mut to)) = (weights, from, ArrayViewMut2::from_shape((outputs, width), to)) {
            general_mat_mul(1.0, &weights, &from, 1.0, &mut to);
        }
    }

    pub(crate) fn all(&self, from: &Rows, then: fn(f32) -> f32) -> Rows {
        self.some(from, 0..from.height, then)
    }

    /// Of some of the rows.
    pub(crate) fn some(&self, from: &Rows, rows: Range<usize>, then: fn(f32) -> f32) -> Rows {
        Rows::each(self.bias.len(), from.width, rows.len(), |y, row| {
            self.row(from.row(rows.start + y), row, from.width);
            row.iter_mut().for_each(|v| *v = then(*v));
        })
    }
}

/// Three by three places of each channel on its own.
pub(crate) struct Each {
    pub(crate) weights: Vec<f32>,
    pub(crate) bias: Vec<f32>,
}

impl Each {
    /// Fills a row of outputs.
    fn row(&self, from: &Rows, y: usize, row: &mut [f32]) {
        let lines = row.chunks_exact_mut(from.width).zip(self.weights.chunks_exact(9)).zip(&self.bias);
        for (channel, ((line, weights), bias)) in lines.enumerate() {
            line.fill(*bias);
            for (dy, weights) in weights.chunks_exact(3).enumerate() {
                let at = (y + dy).checked_sub(1).filter(|at| *at < from.height);
                if let (Some(at), [a, b, c]) = (at, weights) {
                    add_three(line, from.line(channel, at), [*a, *b, *c]);
                }
            }
        }
        row.iter_mut().for_each(|v| *v = positive(*v));
    }
}

/// Adds to each place the weighted sum of a row's places to the left of it, at it and to the right.
fn add_three(to: &mut [f32], from: &[f32], [a, b, c]: [f32; 3]) {
    let last = from.len().saturating_sub(1);
    let inner = to.get_mut(1..last).unwrap_or(&mut []);
    let beside = from.iter().zip(from.get(1..).unwrap_or(&[])).zip(from.get(2..).unwrap_or(&[]));
    inner.iter_mut().zip(beside).for_each(|(sum, ((l, m), r))| *sum += a * l + b * m + c * r);
    // Beyond either end is nothing.
    if let ([first, ..], [m, rest @ ..]) = (&mut *to, from) {
        *first += b * m + rest.first().map_or(0.0, |r| c * r);
    }
    if let ([_, .., end], [.., l, m]) = (to, from) {
        *end += a * l + b * m;
    }
}

/// Three by three places of all channels, at every second place.
pub(crate) struct Shrink(Mix);

impl Shrink {
    pub(crate) const fn outputs(&self) -> usize {
        self.0.bias.len()
    }

    /// Fills a row of outputs.
    pub(crate) fn row(&self, from: &Rows, y: usize, row: &mut [f32]) {
        let width = from.width.div_ceil(2);
        let mut gathered = vec![0.0; 9 * from.channels * width];
        for (tap, line) in gathered.chunks_exact_mut(width).enumerate() {
            let (channel, dy, dx) = (tap / 9, tap % 9 / 3, tap % 3);
            let Some(at) = (2 * y + dy).checked_sub(1).filter(|at| *at < from.height) else { continue };
            let source = from.line(channel, at);
            // The first of the three lies beside the place: nothing is there at the left border.
            let (skip, first) = if dx == 0 { (1, 1) } else { (0, dx - 1) };
            let values = source.get(first..).unwrap_or(&[]).iter().step_by(2);
            line.iter_mut().skip(skip).zip(values).for_each(|(to, v)| *to = *v);
        }
        self.0.row(&gathered, row, width);
        row.iter_mut().for_each(|v| *v = positive(*v));
    }

    pub(crate) fn all(&self, from: &Rows) -> Rows {
        let (width, height) = (from.width.div_ceil(2), from.height.div_ceil(2));
        Rows::each(self.outputs(), width, height, |y, row| self.row(from, y, row))
    }
}

/// Each channel on its own, then all together.
pub(crate) struct Apart {
    pub(crate) each: Each,
    pub(crate) mix: Mix,
}

impl Apart {
    /// Fills a row of outputs. What each channel comes to on its own is not kept.
    fn row(&self, from: &Rows, y: usize, row: &mut [f32]) {
        let mut each = vec![0.0; from.channels * from.width];
        self.each.row(from, y, &mut each);
        self.mix.row(&each, row, from.width);
    }

    pub(crate) fn all(&self, from: &Rows) -> Rows {
        Rows::each(self.mix.bias.len(), from.width, from.height, |y, row| {
            self.row(from, y, row);
            row.iter_mut().for_each(|v| *v = positive(*v));
        })
    }
}

/// What is added to its own input.
pub(crate) struct Added(Apart);

impl Added {
    pub(crate) fn all(&self, from: &Rows) -> Rows {
        Rows::each(from.channels, from.width, from.height, |y, row| {
            self.0.row(from, y, row);
            row.iter_mut().zip(from.row(y)).for_each(|(v, own)| *v = positive(own + *v));
        })
    }
}

pub(crate) const fn positive(value: f32) -> f32 {
    value.max(0.0)
}

/// `to` with a coarser one added, each of its places to the four it covers.
pub(crate) fn with_coarse(to: &Rows, coarse: &Rows) -> Rows {
    Rows::each(to.channels, to.width, to.height, |y, row| {
        let lines = coarse.row(y / 2).chunks_exact(coarse.width);
        for ((line, own), other) in row.chunks_exact_mut(to.width).zip(to.row(y).chunks_exact(to.width)).zip(lines) {
            for ((pair, own), other) in line.chunks_mut(2).zip(own.chunks(2)).zip(other) {
                pair.iter_mut().zip(own).for_each(|(v, o)| *v = positive(o + other));
            }
        }
    })
}

/// Takes numbers off the front of the weights.
pub(crate) struct Reader<'a>(pub(crate) &'a [u8]);

impl Reader<'_> {
    /// The next numbers; of each the upper half of its single precision is kept.
    pub(crate) fn take(&mut self, count: usize) -> Vec<f32> {
        let (these, rest) = self.0.split_at_checked(2 * count).unwrap_or((self.0, &[]));
        self.0 = rest;
        let pairs = these.chunks_exact(2).map(|pair| match pair {
            [low, high] => f32::from_bits(u32::from(u16::from_le_bytes([*low, *high])) << 16),
            _ => 0.0,
        });
        pairs.collect()
    }

    pub(crate) fn mix(&mut self, inputs: usize, outputs: usize) -> Mix {
        Mix { weights: self.take(inputs * outputs), bias: self.take(outputs) }
    }

    pub(crate) fn apart(&mut self, inputs: usize, outputs: usize) -> Apart {
        let each = Each { weights: self.take(9 * inputs), bias: self.take(inputs) };
        Apart { each, mix: self.mix(inputs, outputs) }
    }

    pub(crate) fn shrink(&mut self, inputs: usize, outputs: usize) -> Shrink {
        Shrink(self.mix(9 * inputs, outputs))
    }

    pub(crate) fn added(&mut self, channels: usize) -> Added {
        Added(self.apart(channels, channels))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::f;

    /// Numbers without pattern, the same every time.
    fn numbers(count: usize, seed: u32) -> Vec<f32> {
        let mut state = seed;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f(usize::try_from(state >> 16).unwrap()) / 32768.0 - 1.0
        };
        (0..count).map(|_| next()).collect()
    }

    fn input(channels: usize, width: usize, height: usize) -> Rows {
        Rows { channels, width, height, data: numbers(channels * width * height, 7) }
    }

    /// The definition, place by place; `one` keeps each channel to itself.
    fn slow(
        from: &Rows,
        weights: &[f32],
        bias: &[f32],
        step: usize,
        one: bool,
        (c, x, y): (usize, usize, usize),
    ) -> f32 {
        let mut sum = bias[c];
        for (k, source) in (if one { c..c + 1 } else { 0..from.channels }).enumerate() {
            for (dy, dx) in (0..3).flat_map(|dy| (0..3).map(move |dx| (dy, dx))) {
                let (u, v) = ((step * x + dx).wrapping_sub(1), (step * y + dy).wrapping_sub(1));
                if u < from.width && v < from.height {
                    let inputs = if one { 1 } else { from.channels };
                    sum += weights[(c * inputs + k) * 9 + dy * 3 + dx] * from.get(source, u, v);
                }
            }
        }
        sum.max(0.0)
    }

    #[test]
    fn layers_are_what_their_definitions_say() {
        let from = input(6, 18, 10);
        let (weights, bias) = (numbers(6 * 5 * 9, 3), numbers(6, 5));
        let each = Each { weights: weights[..54].to_vec(), bias: bias.clone() };
        let each = Rows::each(6, 18, 10, |y, row| each.row(&from, y, row));
        let shrunk = Shrink(Mix { weights: weights.clone(), bias: bias[..5].to_vec() }).all(&from);
        let mixed = Mix { weights: weights[..30].to_vec(), bias: bias[..5].to_vec() }.all(&from, |v| v);
        for (x, y) in [(0, 0), (17, 9), (8, 4), (1, 9), (17, 3)] {
            for c in 0..5 {
                let close = |a: f32, b: f32| assert!((a - b).abs() < 1e-4, "{c} {x} {y}: {a} {b}");
                close(each.get(c, x, y), slow(&from, &weights, &bias, 1, true, (c, x, y)));
                close(shrunk.get(c, x / 2, y / 2), slow(&from, &weights, &bias, 2, false, (c, x / 2, y / 2)));
                let sum: f32 = (0..6).map(|k| weights[c * 6 + k] * from.get(k, x, y)).sum();
                close(mixed.get(c, x, y), sum + bias[c]);
            }
        }
    }
}
