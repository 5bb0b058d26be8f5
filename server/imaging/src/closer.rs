//! A closer look at the few places that the network proposes: small networks of a second kind, which see a place both
//! from near and with what is around it, where the first has to look at everything and therefore less closely.

use crate::layers::{Added, Mix, Reader, Rows, Shrink, positive};
use crate::network::{INPUTS, SEEN, STRIDE};
use crate::num::{below, f, int, whole};
use crate::places::Place;
use rayon::prelude::*;
use std::sync::LazyLock;

/// With what is around: what the first network was told, what it said, and where the place is.
const AROUND: usize = INPUTS + 2;
/// From near: the same, and what the first network came to see.
const NEAR: usize = AROUND + SEEN;
/// Numbers told: from near, then with what is around.
const TOLD: usize = NEAR + AROUND;
/// Places along the side of what is looked at.
pub(crate) const SIDE: usize = 32;
/// Places from near along one with what is around.
const FARTHER: i32 = 3;
/// What the first network came to see and what it says, before the logistic function, are brought to about the size of
/// the rest.
const SAW: f32 = 2.0;
const SAID: f32 = 4.0;
/// Beyond this to each side a value tells no more.
const MOST: f32 = 4.0;

/// What the first of the closer looks says of a place that the others need not look at.
const NOTHING: f32 = -1.5;

/// A look at a whole picture: what the first network was told, what it came to see and what it said.
pub(crate) struct Looked {
    pub(crate) told: Rows,
    pub(crate) saw: Rows,
    pub(crate) said: Rows,
}

/// A square of so many places around the middle of a place, from near and with what is around; nothing beyond the
/// picture.
pub(crate) fn square(looked: &Looked, place: &Place, side: usize) -> Rows {
    let middle = |a: usize, b: usize| int(usize::midpoint(a, b) / 2);
    let (mx, my) = (middle(place.left, place.right), middle(place.top, place.bottom));
    let seen = Seen { looked, place };
    let half = int(side) / 2;
    let mut data = vec![0.0; TOLD * side * side];
    for (y, row) in (-half..).zip(data.chunks_exact_mut(TOLD * side)) {
        let (near, around) = row.split_at_mut(NEAR * side);
        seen.add(near, side, my + y, mx - half, 1);
        for down in 0..FARTHER {
            seen.add(around, side, my + y * FARTHER + down, mx - half * FARTHER, FARTHER);
        }
    }
    // As the networks are fitted: what the first came to see has no bound of its own.
    data.iter_mut().for_each(|value| *value = value.clamp(-MOST, MOST));
    Rows { channels: TOLD, width: side, height: side, data }
}

struct Seen<'a> {
    looked: &'a Looked,
    place: &'a Place,
}

impl Seen<'_> {
    /// Adds a row of the picture, from a place on, to a row of a view: as many of its places as told make one of the
    /// view's, of which each is the mean.
    fn add(&self, row: &mut [f32], side: usize, y: i32, first: i32, many: i32) {
        let Looked { told, saw, said } = self.looked;
        let Some(y) = usize::try_from(y).ok().filter(|y| *y < told.height) else { return };
        let together = usize::try_from(many).unwrap_or(1);
        let share = 1.0 / whole(many * many);
        let within = |at: usize, from: usize, to: usize| (from / 2..to.div_ceil(2)).contains(&at);
        let inside = within(y, self.place.top, self.place.bottom);
        let mark = |x| f32::from(u8::from(inside && within(x, self.place.left, self.place.right)));
        // Before the picture begins is nothing, and after it ends.
        let before = usize::try_from(-first).unwrap_or(0);
        let from = usize::try_from(first).unwrap_or(0).min(told.width);
        let columns = from..(from + (side * together).saturating_sub(before)).min(told.width);
        let add = |line: &mut [f32], values: &[f32]| {
            for (sum, values) in line.iter_mut().zip(values.chunks(together)) {
                *sum += values.iter().sum::<f32>() * share;
            }
        };
        let mut values = Vec::with_capacity(side * together);
        for (channel, line) in row.chunks_exact_mut(side).enumerate() {
            let told = if channel < INPUTS { told.line(channel, y).get(columns.clone()) } else { None };
            if let Some(told) = told.filter(|_| before == 0) {
                add(line, told);
                continue;
            }
            values.clear();
            values.resize(before, 0.0);
            match channel {
                0..INPUTS => values.extend_from_slice(told.unwrap_or(&[])),
                INPUTS => values.extend(columns.clone().map(|x| said.get(0, x / STRIDE, y / STRIDE) / SAID)),
                AROUND.. => {
                    let seen = saw.line(channel - AROUND, y / STRIDE);
                    values.extend(columns.clone().map(|x| seen.get(x / STRIDE).copied().unwrap_or(0.0) / SAW));
                }
                _ => values.extend(columns.clone().map(mark)),
            }
            add(line, &values);
        }
    }
}

/// Several networks of one kind, each fitted by other chances: what they say together is surer than what each does.
pub(crate) struct Closer(Vec<Member>);

/// Looks at one square.
struct Member {
    first: Mix,
    down: [(Shrink, Added); 3],
    last: Mix,
}

/// As `tests/bench/fit-pointing --closer` wrote them.
static FITTED: LazyLock<Closer> = LazyLock::new(|| Closer::read(include_bytes!("closer.bin")));

impl Closer {
    /// Those whose weights were fitted.
    pub(crate) fn fitted() -> &'static Self {
        &FITTED
    }

    fn read(bytes: &[u8]) -> Self {
        let mut reader = Reader(bytes);
        Self(std::iter::from_fn(|| (!reader.0.is_empty()).then(|| Member::read(&mut reader))).collect())
    }

    /// How much each place looks like a change, before the logistic function: the mean of what all say, but of a place
    /// that to the first looks like nothing what it says. Most are such, and no mean would have brought them back.
    pub(crate) fn look(&self, looked: &Looked, places: &[Place]) -> Vec<f32> {
        places.par_iter().map(|place| self.one(&square(looked, place, SIDE))).collect()
    }

    fn one(&self, square: &Rows) -> f32 {
        let Some((first, others)) = self.0.split_first() else { return 0.0 };
        let said = first.one(square);
        if said < NOTHING {
            return said;
        }
        (said + others.iter().map(|member| member.one(square)).sum::<f32>()) / f(self.0.len())
    }
}

impl Member {
    fn read(r: &mut Reader) -> Self {
        let first = r.mix(TOLD, 32);
        let mut one = |inputs, outputs| (r.shrink(inputs, outputs), r.added(outputs));
        let down = [one(32, 48), one(48, 64), one(64, 96)];
        Self { first, down, last: r.mix(2 * 96, 1) }
    }

    fn one(&self, square: &Rows) -> f32 {
        let mut seen = self.first.all(square, positive);
        for (shrink, added) in &self.down {
            seen = added.all(&shrink.all(&seen));
        }
        // Of each channel its mean over the square, then its most.
        let over = |channel: usize, pick: fn(f32, f32) -> f32| {
            (0..seen.height).flat_map(|y| seen.line(channel, y)).copied().fold(0.0, pick)
        };
        let count = f(seen.width * seen.height).max(1.0);
        let means = (0..seen.channels).map(|c| over(c, |a, b| a + b) / count);
        let data: Vec<f32> = means.chain((0..seen.channels).map(|c| over(c, f32::max))).collect();
        self.last.all(&Rows { channels: data.len(), width: 1, height: 1, data }, |v| v).get(0, 0, 0)
    }
}

/// A square's numbers in single bytes, for fitting: to each side 127 steps.
pub(crate) fn bytes(square: &Rows) -> Vec<u8> {
    square
        .data
        .iter()
        .map(|v| u8::try_from(below((v.clamp(-MOST, MOST) / MOST * 127.0).round() + 128.0)).unwrap_or(255))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(channels: usize, width: usize, height: usize, phase: f32) -> Rows {
        let places = (0..height).flat_map(|y| (0..channels).flat_map(move |c| (0..width).map(move |x| (c, x, y))));
        let data = places.map(|(c, x, y)| (0.7 * f(c) + 0.31 * f(x) + 0.17 * f(y) + phase).sin()).collect();
        Rows { channels, width, height, data }
    }

    #[test]
    fn a_square_shows_the_place_from_near_and_with_what_is_around() {
        let looked =
            Looked { told: wave(INPUTS, 96, 64, 0.0), saw: wave(SEEN, 48, 32, 0.5), said: wave(5, 48, 32, 1.0) };
        // Its middle is at (30, 20) of the half size.
        let place = Place { left: 50, top: 30, right: 70, bottom: 50, score: 0.5 };
        let square = square(&looked, &place, SIDE);
        let Looked { told, saw, said } = &looked;
        let close = |a: f32, b: f32| assert!((a - b).abs() < 1e-5, "{a} {b}");
        for (x, y) in [(16, 16), (3, 5), (31, 31), (10, 20)] {
            let (u, v) = (30 + x - 16, 20 + y - 16);
            close(square.get(4, x, y), told.get(4, u, v));
            close(square.get(INPUTS, x, y), said.get(0, u / 2, v / 2) / SAID);
            let inside = (25..35).contains(&u) && (15..25).contains(&v);
            close(square.get(AROUND + 9, x, y), saw.get(9, u / 2, v / 2) / SAW);
            close(square.get(INPUTS + 1, x, y), if inside { 1.0 } else { 0.0 });
        }
        for (x, y) in [(16, 16), (20, 13), (10, 12)] {
            let (u, v) = (30 + 3 * x - 48, 20 + 3 * y - 48);
            let mean: f32 = (0..9).map(|k| told.get(7, u + k % 3, v + k / 3)).sum::<f32>() / 9.0;
            close(square.get(NEAR + 7, x, y), mean);
        }
        assert!((NEAR..TOLD).all(|c| square.get(c, 16, 8) == 0.0), "above the picture is nothing");
        assert!((NEAR..TOLD).all(|c| square.get(c, 2, 16) == 0.0), "beside the picture is nothing");
    }

    #[test]
    fn bytes_keep_the_numbers_to_a_step() {
        let square = wave(3, 8, 8, 0.3);
        for (byte, value) in bytes(&square).iter().zip(&square.data) {
            assert!(((f32::from(*byte) - 128.0) * 4.0 / 127.0 - value).abs() < 0.017);
        }
    }

    #[test]
    fn all_weights_are_read() {
        let bytes = include_bytes!("closer.bin");
        let count = |m: &Mix| m.weights.len() + m.bias.len();
        let Closer(members) = Closer::read(bytes);
        let layers = [(32, 48), (48, 64), (64, 96)].map(|(i, o)| 9 * i * o + o + 10 * o + o * o + o);
        let each = count(&members[0].first) + layers.iter().sum::<usize>() + 193;
        assert!(members.iter().all(|member| count(&member.last) == 193));
        assert_eq!(bytes.len() / 2, members.len() * each);
    }

    #[test]
    fn the_others_look_only_where_the_first_sees_something() {
        let square = wave(TOLD, SIDE, SIDE, 0.0);
        // The others see more in it than the first.
        let said = |first: f32| {
            let Closer(mut members) = Closer::read(include_bytes!("closer.bin"));
            for (k, member) in members.iter_mut().enumerate() {
                member.last.bias[0] += first + if k == 0 { 0.0 } else { 3.0 } - member.one(&square);
            }
            let all = members.iter().map(|member| member.one(&square)).sum::<f32>() / f(members.len());
            (Closer(members).one(&square), all)
        };
        let (told, all) = said(NOTHING + 0.1);
        assert!((told - all).abs() < 1e-4 && (told - NOTHING).abs() > 0.5, "{told} {all}");
        let (told, all) = said(NOTHING - 0.1);
        assert!((told - NOTHING + 0.1).abs() < 1e-4 && (told - all).abs() > 0.5, "{told} {all}");
    }

    /// Source: PyTorch's outputs with the same weights, written by `tests/bench/fit-pointing --closer`.
    #[test]
    fn the_closer_look_says_what_pytorch_says() {
        let expected = include_str!("../../../fixtures/reference/pointing_closer.csv");
        let mut rows = 0;
        for line in expected.lines().skip(2) {
            let numbers: Vec<f32> = line.split(',').map(|v| v.parse().unwrap()).collect();
            let square = wave(TOLD, SIDE, SIDE, numbers[0]);
            let members = &Closer::fitted().0;
            let told: Vec<f32> = members.iter().map(|member| member.one(&square)).collect();
            let close = |a: f32, b: f32| assert!((a - b).abs() < 2e-3 * (1.0 + b.abs()), "{line}: {a} {b}");
            told.iter().zip(&numbers[1..]).for_each(|(a, b)| close(*a, *b));
            assert_eq!(numbers.len(), 1 + members.len());
            rows += 1;
        }
        assert_eq!(rows, 12);
    }
}
