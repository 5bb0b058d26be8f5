//! The small convolutional network that looks at all of two pictures laid over each other.

use crate::layers::{Added, Apart, Mix, Reader, Rows, Shrink, positive, with_coarse};
use std::sync::LazyLock;

/// Numbers told about each place.
pub(crate) const INPUTS: usize = 23;
/// Numbers that it comes to see at each place.
pub(crate) const SEEN: usize = 32;
/// Places of the input along one of the output.
pub(crate) const STRIDE: usize = 2;
/// Widths and heights must divide by this.
pub(crate) const WHOLE: usize = 16;

/// Looks at a picture at five sizes, from its own to a sixteenth, and back to the second.
pub(crate) struct Network {
    first: Mix,
    near: Apart,
    down: [(Shrink, [Added; 2]); 2],
    deep: (Shrink, [Added; 2]),
    deepest: (Shrink, Added),
    up: [(Mix, Added); 3],
    last: Mix,
}

/// As `tests/bench/fit-pointing` wrote them.
static FITTED: LazyLock<Network> = LazyLock::new(|| Network::read(include_bytes!("weights.bin")));

impl Network {
    /// The one whose weights were fitted.
    pub(crate) fn fitted() -> &'static Self {
        &FITTED
    }

    fn read(bytes: &[u8]) -> Self {
        let mut r = Reader(bytes);
        let first = r.mix(INPUTS, 16);
        let near = r.apart(16, 24);
        let mut two = |inputs, outputs| (r.shrink(inputs, outputs), [r.added(outputs), r.added(outputs)]);
        let down = [two(24, 32), two(32, 48)];
        let deep = two(48, 64);
        let deepest = (r.shrink(64, 64), r.added(64));
        let mut back = |inputs, outputs| (r.mix(inputs, outputs), r.added(outputs));
        let up = [back(64, 64), back(64, 48), back(48, SEEN)];
        Self { first, near, down, deep, deepest, up, last: r.mix(SEEN, 5) }
    }

    /// For every second place each way what it came to see, and five numbers: how much the place looks like the middle
    /// of a change, before the logistic function; logarithms of its width and height; and how far off its middle is.
    pub(crate) fn look(&self, input: &Rows) -> (Rows, Rows) {
        let down = |(shrink, added): &(Shrink, [Added; 2]), from: &Rows| both(added, &shrink.all(from));
        let [(shrink, added), quarter] = &self.down;
        let half = both(added, &self.nearest(shrink, input));
        let quarter = down(quarter, &half);
        let eighth = down(&self.deep, &quarter);
        let mut coarse = self.deepest.1.all(&self.deepest.0.all(&eighth));
        for ((mix, added), fine) in self.up.iter().zip([&eighth, &quarter, &half]) {
            coarse = added.all(&with_coarse(fine, &mix.all(&coarse, |v| v)));
        }
        let said = self.last.all(&coarse, |v| v);
        (coarse, said)
    }

    /// The layers at the picture's own size and the shrinking after them, band by band: what they come to is large, and
    /// stays where it is quick to reach.
    fn nearest(&self, shrink: &Shrink, input: &Rows) -> Rows {
        /// Rows of a band.
        const BAND: usize = 16;
        let (width, height) = (input.width.div_ceil(2), input.height.div_ceil(2));
        let length = shrink.outputs() * width;
        Rows::bands(shrink.outputs(), width, height, BAND, |first, rows| {
            let count = rows.len() / length.max(1);
            // What is shrunk reaches a row further, and each layer before it one more.
            let from = (2 * first).saturating_sub(2);
            let some = from..(2 * (first + count) + 1).min(input.height);
            let near = self.near.all(&self.first.some(input, some, positive));
            let skipped = first - from / 2;
            rows.chunks_exact_mut(length).enumerate().for_each(|(k, row)| shrink.row(&near, skipped + k, row));
        })
    }
}

fn both([one, other]: &[Added; 2], from: &Rows) -> Rows {
    other.all(&one.all(from))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::f;

    #[test]
    fn all_weights_are_read() {
        let bytes = include_bytes!("weights.bin");
        let mut reader = Reader(bytes);
        drop(reader.take(bytes.len() / 2));
        let network = Network::read(bytes);
        let numbers = |m: &Mix| m.weights.len() + m.bias.len();
        assert_eq!(numbers(&network.last), 5 * 33);
        assert_eq!(network.last.bias.len(), 5);
        assert!(reader.take(1).is_empty());
    }

    #[test]
    fn bands_meet_without_a_seam() {
        let (width, height) = (32, 80);
        let value = |k: usize| f(k % 613) / 200.0 - 1.5;
        let data = (0..INPUTS * width * height).map(value).collect();
        let input = Rows { channels: INPUTS, width, height, data };
        let network = Network::fitted();
        let [(shrink, _), _] = &network.down;
        let bands = network.nearest(shrink, &input);
        let whole = shrink.all(&network.near.all(&network.first.all(&input, positive)));
        assert_eq!((bands.channels, bands.width, bands.height), (32, 16, 40));
        assert!(bands.data.iter().zip(&whole.data).all(|(a, b)| (a - b).abs() < 1e-4 * (1.0 + b.abs())));
    }

    /// Source: PyTorch's outputs with the same weights, written by `tests/bench/fit-pointing`.
    #[test]
    fn the_network_says_what_pytorch_says() {
        let (width, height) = (48, 32);
        let places = (0..height).flat_map(|y| (0..INPUTS).flat_map(move |c| (0..width).map(move |x| (c, x, y))));
        let data = places.map(|(c, x, y)| (0.7 * f(c) + 0.31 * f(x) + 0.17 * f(y)).sin()).collect();
        let (_, told) = Network::fitted().look(&Rows { channels: INPUTS, width, height, data });
        let expected = include_str!("../../../fixtures/reference/pointing_network.csv");
        let mut rows = 0;
        for line in expected.lines().skip(2) {
            let numbers: Vec<f32> = line.split(',').map(|v| v.parse().unwrap()).collect();
            let at = |k: usize| crate::num::count(numbers[k]);
            let value = told.get(at(0), at(1), at(2));
            assert!((value - numbers[3]).abs() < 2e-3 * (1.0 + numbers[3].abs()), "{line}: {value}");
            rows += 1;
        }
        assert_eq!(rows, 40);
    }
}
