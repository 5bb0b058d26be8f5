//! What AFTER shows that BEFORE does not, once light is taken out and a little misfit is allowed for.
//!
//! Light is what the difference between the two has in common over a neighbourhood: its median, which follows the
//! step at the edge of a shadow and passes over anything thinner than half of the neighbourhood. What remains counts
//! only where no pixel of BEFORE close by explains it.

use crate::num::{count, f, int};
use crate::plane::{Plane, quantile};

/// Evidence of change at one scale.
#[derive(Clone, Debug)]
pub(crate) struct Evidence {
    /// Times smaller than the picture.
    pub(crate) times: usize,
    /// What AFTER adds, in steps of its noise; the sign tells brighter from darker.
    pub(crate) added: Plane,
    /// What BEFORE had that AFTER lacks, likewise.
    pub(crate) gone: Plane,
    /// The light that was taken out.
    pub(crate) light: Plane,
    /// How much BEFORE varies around each place, in the same steps.
    pub(crate) before_varies: Plane,
}

/// Brightness as the eye has it, so that a change of light is nearly a shift.
pub(crate) fn tone(level: f32) -> f32 {
    80.0 * (1.0 + level.max(0.0) / 48.0).ln()
}

/// Evidence at a scale from two planes of tones, BEFORE laid over AFTER; `loose` is how far each place may be misplaced
/// beyond the usual, in pixels of the scale.
pub(crate) fn evidence(before: &Plane, after: &Plane, loose: &Plane, times: usize, slack: usize) -> Evidence {
    let difference = after.with(before, |a, b| a - b);
    let coarse = median(&difference.halved(), 8);
    let light = coarse.scaled(after.width(), after.height());
    let (low, high) = (
        lowest(&coarse, 1).scaled(after.width(), after.height()),
        highest(&coarse, 1).scaled(after.width(), after.height()),
    );
    let rest = difference.with(&light, |d, l| d - l);
    let noise = noise_of(&rest);
    let (b_low, b_high) = (lowest(before, slack), highest(before, slack));
    let (a_low, a_high) = (lowest(after, slack), highest(after, slack));
    // A second, wider look where the two could not be laid over each other as well.
    let (b_low2, b_high2) = (lowest(&b_low, 3), highest(&b_high, 3));
    let (a_low2, a_high2) = (lowest(&a_low, 3), highest(&a_high, 3));
    let mixed = |near: &Plane, far: &Plane| near.with(&far.with(loose, |v, l| v * l), |n, v| n + v).with(&near.with(loose, |v, l| v * l), |s, v| s - v);
    let (b_low, b_high) = (mixed(&b_low, &b_low2), mixed(&b_high, &b_high2));
    let (a_low, a_high) = (mixed(&a_low, &a_low2), mixed(&a_high, &a_high2));
    let beyond = |value: f32, low: f32, high: f32| if value > high { value - high } else if value < low { value - low } else { 0.0 };
    let range = b_high.with(&b_low, |h, l| h - l);
    let (w, h) = (after.width(), after.height());
    let added = Plane::from_fn(w, h, |x, y| {
        beyond(after.get(x, y), b_low.get(x, y) + low.get(x, y), b_high.get(x, y) + high.get(x, y)) / noise
    });
    let gone = Plane::from_fn(w, h, |x, y| {
        beyond(before.get(x, y), a_low.get(x, y) - high.get(x, y), a_high.get(x, y) - low.get(x, y)) / noise
    });
    let before_varies = range.mean(4).map(|r| r / noise);
    Evidence { times, added, gone, light, before_varies }
}

/// The spread of what noise and small misfits leave, from the middle half of the values.
fn noise_of(rest: &Plane) -> f32 {
    let values: Vec<f32> = rest.values().iter().step_by(7).map(|v| v.abs()).collect();
    (1.48 * quantile(values, 0.5)).max(0.35)
}

/// The lowest value within a square of side `2 radius + 1`.
pub(crate) fn lowest(plane: &Plane, radius: usize) -> Plane {
    extreme(plane, radius, f32::min)
}

/// The highest value within a square of side `2 radius + 1`.
pub(crate) fn highest(plane: &Plane, radius: usize) -> Plane {
    extreme(plane, radius, f32::max)
}

fn extreme(plane: &Plane, radius: usize, of: fn(f32, f32) -> f32) -> Plane {
    let across = |plane: &Plane| {
        let mut out = plane.clone();
        for step in 1..=radius {
            for (to, row) in out.values_mut().chunks_exact_mut(plane.width()).zip(plane.rows()) {
                let right = row.iter().skip(step).chain(std::iter::repeat_n(row.last().unwrap_or(&0.0), step));
                let left = std::iter::repeat_n(row.first().unwrap_or(&0.0), step).chain(row);
                for ((v, r), l) in to.iter_mut().zip(right).zip(left) {
                    *v = of(*v, of(*r, *l));
                }
            }
        }
        out
    };
    across(&across(plane).transposed()).transposed()
}

/// Steps that values are sorted into for the median, and the range they cover.
const STEPS: usize = 256;
const RANGE: f32 = 48.0;

/// The median within a square of side `2 radius + 1`, to 0.4 of a tone.
pub(crate) fn median(plane: &Plane, radius: usize) -> Plane {
    let step = 2.0 * RANGE / f(STEPS - 1);
    let sorted: Vec<usize> =
        plane.values().iter().map(|v| count((v.clamp(-RANGE, RANGE) + RANGE) / step)).collect();
    let (width, height) = (plane.width(), plane.height());
    let at = |x: i32, y: usize| {
        let x = usize::try_from(x).unwrap_or(0).min(width - 1);
        sorted.get(y * width + x).copied().unwrap_or(0)
    };
    let mut out = Plane::flat(width, height, 0.0);
    for y in 0..height {
        let rows = y.saturating_sub(radius)..(y + radius + 1).min(height);
        let mut tally = [0_usize; STEPS];
        let mut add = |tally: &mut [usize; STEPS], x: i32, below: &mut usize, middle: usize, take: bool| {
            for row in rows.clone() {
                let value = at(x, row);
                if let Some(n) = tally.get_mut(value) {
                    *n = if take { n.saturating_sub(1) } else { *n + 1 };
                }
                if value < middle {
                    *below = if take { below.saturating_sub(1) } else { *below + 1 };
                }
            }
        };
        let (mut below, mut middle) = (0, 0);
        for x in -int(radius)..=int(radius) {
            add(&mut tally, x, &mut below, middle, false);
        }
        let half = rows.len() * (2 * radius + 1) / 2;
        for x in 0..width {
            if x > 0 {
                add(&mut tally, int(x) - int(radius) - 1, &mut below, middle, true);
                add(&mut tally, int(x + radius), &mut below, middle, false);
            }
            while below > half && middle > 0 {
                middle -= 1;
                below -= tally.get(middle).copied().unwrap_or(0);
            }
            while let Some(here) = tally.get(middle).filter(|n| below + **n <= half) {
                below += here;
                middle += 1;
            }
            out.set(x, y, f(middle) * step - RANGE);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_that_of_its_square() {
        let plane = Plane::from_fn(23, 17, |x, y| f((x * 37 + y * 61 + x * y) % 71) - 35.0);
        let fast = median(&plane, 3);
        for (x, y) in [(0, 0), (11, 8), (22, 16), (5, 15)] {
            let mut square: Vec<f32> = (y.max(3) - 3..(y + 4).min(17))
                .flat_map(|v| (int(x) - 3..=int(x) + 3).map(move |u| (u, v)))
                .map(|(u, v)| plane.at(u, int(v)))
                .collect();
            square.sort_by(f32::total_cmp);
            let slow = square[square.len() / 2];
            assert!((fast.get(x, y) - slow).abs() < 0.5, "{x} {y}: {} {slow}", fast.get(x, y));
        }
    }

    #[test]
    fn the_edge_of_a_shadow_is_light_and_a_line_is_not() {
        let before = Plane::flat(128, 128, 90.0);
        let still = Plane::flat(128, 128, 0.0);
        let shadow = Plane::from_fn(128, 128, |x, _| if x < 60 { 90.0 } else { 65.0 });
        let seen = evidence(&before, &shadow, &still, 1, 2);
        assert!(seen.added.values().iter().all(|v| v.abs() < 1.0));
        let line = Plane::from_fn(128, 128, |x, y| if y == 64 && (40..90).contains(&x) { 60.0 } else { 90.0 });
        let seen = evidence(&before, &line, &still, 1, 2);
        assert!(seen.added.get(64, 64) < -20.0);
    }
}
