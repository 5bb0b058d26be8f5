//! What AFTER shows that BEFORE does not, once light is taken out and a little misfit is allowed for.
//!
//! Light is what the difference between the two has in common over a neighbourhood: its median, which follows the
//! step at the edge of a shadow and passes over anything thinner than half of the neighbourhood. What remains counts
//! only where no pixel of BEFORE close by explains it.

use crate::num::{count, f, int};
use crate::plane::{Plane, quantile};
use rayon::prelude::*;
use std::ops::Range;

/// How many pixels further than the slack a place may have come from where the two are loosely laid over each other.
const FURTHER: usize = 3;
/// Rows that are worked out together: what they come to in between stays where it is quick to reach.
const BAND: usize = 48;

/// Evidence of change at one scale.
#[derive(Clone, Debug)]
pub(crate) struct Evidence {
    /// Tones that noise makes.
    pub(crate) noise: f32,
    /// What AFTER adds, in steps of noise; the sign tells brighter from darker.
    pub(crate) added: Plane,
    /// What BEFORE had that AFTER lacks, likewise.
    pub(crate) gone: Plane,
    /// What the difference between the two has in common over a neighbourhood, at half the size.
    pub(crate) light: Plane,
}

/// Brightness as the eye has it, so that a change of light is nearly a shift.
fn tone(level: f32) -> f32 {
    80.0 * (1.0 + level.max(0.0) / 48.0).ln()
}

/// Tones of a picture's grey levels, read off a table of whole levels: between two of them it is straight to 0.02.
pub(crate) fn tones(plane: &Plane) -> Plane {
    let table: Vec<f32> = (0..=256).map(|level| tone(f(level))).collect();
    plane.map(|level| {
        let level = level.clamp(0.0, 255.0);
        let below = crate::num::below(level);
        match table.get(below..below + 2) {
            Some([low, high]) => low + (high - low) * (level - f(below)),
            _ => tone(level),
        }
    })
}

/// What each place may have come from: the least and the most that lies close by, and further off where the two
/// pictures are loosely laid over each other.
struct Reach {
    low: Plane,
    high: Plane,
}

impl Reach {
    fn of(plane: &Plane, loose: &Plane, slack: usize) -> Self {
        let (low, high) = (lowest(plane, slack), highest(plane, slack));
        let mix = |near: &Plane, far: &Plane| {
            let values = near.values().iter().zip(far.values()).zip(loose.values());
            let mixed = values.map(|((near, far), loose)| near + (far - near) * loose).collect();
            Plane::of_values(near.width(), near.height(), mixed)
        };
        Self { low: mix(&low, &lowest(&low, FURTHER)), high: mix(&high, &highest(&high, FURTHER)) }
    }

    /// How far a plane of values less an allowance lies beyond, in steps of noise. What BEFORE is allowed is taken the
    /// other way round by a `sign` of -1.
    fn beyond(&self, plane: &Plane, (least, most): (&Plane, &Plane), sign: f32, noise: f32) -> Plane {
        let reach = self.low.values().iter().zip(self.high.values());
        let allowed = least.values().iter().zip(most.values());
        let beyond = plane.values().iter().zip(reach).zip(allowed).map(|((v, (low, high)), (least, most))| {
            let over = (v - (high + sign * most)).max(0.0);
            let under = (v - (low + sign * least)).min(0.0);
            (over + under) / noise
        });
        Plane::of_values(plane.width(), plane.height(), beyond.collect())
    }
}

/// Evidence from two planes of tones, BEFORE laid over AFTER, at one scale.
///
/// `loose` is how loosely each place is laid over, 0 to 1; `slack` how many pixels each may always be off; `noise` what
/// noise makes of tones, measured where it is not given.
pub(crate) fn evidence(before: &Plane, after: &Plane, loose: &Plane, slack: usize, noise: Option<f32>) -> Evidence {
    let (width, height) = (after.width(), after.height());
    let difference = after.with(before, |a, b| a - b);
    let coarse = median(&difference.halved(), 8);
    // The edge of a shadow lies between two values of the light: anything between them is light.
    let ((dimmest, brightest), noise) = rayon::join(
        || (lowest(&coarse, 1), highest(&coarse, 1)),
        || {
            let measured = || noise_of(&difference.with(&coarse.scaled(width, height), |d, l| d - l));
            noise.unwrap_or_else(measured)
        },
    );
    let band = |rows: Range<usize>| {
        let some = rows.start.saturating_sub(slack + FURTHER)..(rows.end + slack + FURTHER).min(height);
        let (before, after, loose) = (before.band(some.clone()), after.band(some.clone()), loose.band(some.clone()));
        let across = |coarse: &Plane| coarse.scaled_rows(width, height, some.clone());
        let (dimmest, brightest) = (across(&dimmest), across(&brightest));
        let was = Reach::of(&before, &loose, slack);
        let is = Reach::of(&after, &loose, slack);
        let added = was.beyond(&after, (&dimmest, &brightest), 1.0, noise);
        let gone = is.beyond(&before, (&brightest, &dimmest), -1.0, noise);
        let own = rows.start - some.start..rows.end - some.start;
        (added.band(own.clone()), gone.band(own))
    };
    let bands: Vec<(Plane, Plane)> =
        (0..height.div_ceil(BAND)).into_par_iter().map(|k| band(k * BAND..((k + 1) * BAND).min(height))).collect();
    let stacked = |of: fn(&(Plane, Plane)) -> &Plane| {
        Plane::of_values(width, height, bands.iter().flat_map(|pair| of(pair).values()).copied().collect())
    };
    let (added, gone) = rayon::join(|| stacked(|(added, _)| added), || stacked(|(_, gone)| gone));
    Evidence { noise, added, gone, light: coarse }
}

/// The spread of what noise leaves, from the quietest third of the values: where there is much to see, small misfits
/// would be counted with it.
fn noise_of(rest: &Plane) -> f32 {
    let values: Vec<f32> = rest.values().iter().step_by(7).map(|v| v.abs()).collect();
    // Of a normal distribution, this share lies within 0.385 standard deviations.
    (quantile(values, 0.3) / 0.385).max(0.35)
}

/// The lowest value within a square of side `2 radius + 1`.
pub(crate) fn lowest(plane: &Plane, radius: usize) -> Plane {
    extreme(plane, radius, |a, b| if b < a { b } else { a })
}

/// The highest value within a square of side `2 radius + 1`.
pub(crate) fn highest(plane: &Plane, radius: usize) -> Plane {
    extreme(plane, radius, |a, b| if b > a { b } else { a })
}

fn extreme(plane: &Plane, radius: usize, of: impl Fn(f32, f32) -> f32) -> Plane {
    let width = plane.width().max(1);
    let mut across = plane.clone();
    for (to, row) in across.values_mut().chunks_exact_mut(width).zip(plane.rows()) {
        for step in 1..=radius {
            // A row's end is nearest to itself: nothing beyond it counts.
            let right = row.get(step..).unwrap_or(&[]);
            to.iter_mut().zip(right).for_each(|(v, r)| *v = of(*v, *r));
            let inner = to.get_mut(step..).unwrap_or(&mut []);
            inner.iter_mut().zip(row).for_each(|(v, l)| *v = of(*v, *l));
        }
    }
    let mut out = across.clone();
    for (y, to) in out.values_mut().chunks_exact_mut(width).enumerate() {
        let others = (y.saturating_sub(radius)..(y + radius + 1).min(plane.height())).filter(|v| *v != y);
        for other in others {
            to.iter_mut().zip(across.row(other)).for_each(|(v, o)| *v = of(*v, *o));
        }
    }
    out
}

/// Steps that values are sorted into for the median, and the range they cover.
const STEPS: usize = 256;
const RANGE: f32 = 48.0;

/// The median within a square of side `2 radius + 1`, to 0.4 of a tone.
pub(crate) fn median(plane: &Plane, radius: usize) -> Plane {
    rank(plane, radius, 0.5)
}

/// The value below which a share of the values within a square of side `2 radius + 1` lies, to 0.4.
pub(crate) fn rank(plane: &Plane, radius: usize, share: f32) -> Plane {
    let step = 2.0 * RANGE / f(STEPS - 1);
    let sorted =
        plane.values().iter().map(|v| crate::num::below((v.clamp(-RANGE, RANGE) + RANGE) / step + 0.5)).collect();
    let sorted = Sorted { values: sorted, width: plane.width(), height: plane.height() };
    let ranked = |rows: std::ops::Range<usize>| rows.flat_map(|y| sorted.rank(y, radius, share)).collect::<Vec<_>>();
    let half = plane.height() / 2;
    let (mut ranks, rest) = rayon::join(|| ranked(0..half), || ranked(half..plane.height()));
    ranks.extend(rest);
    let values = ranks.into_iter().map(|rank| f(rank) * step - RANGE).collect();
    Plane::of_values(plane.width(), plane.height(), values)
}

/// A plane's values by the step each lies at.
struct Sorted {
    values: Vec<usize>,
    width: usize,
    height: usize,
}

impl Sorted {
    /// Of each place of a row the step below which a share of its square lies: what goes and what comes is counted.
    fn rank(&self, y: usize, radius: usize, share: f32) -> Vec<usize> {
        let rows = y.saturating_sub(radius)..(y + radius + 1).min(self.height);
        let column = |x: i32| {
            let x = usize::try_from(x).unwrap_or(0).min(self.width - 1);
            rows.clone().map(move |row| self.values.get(row * self.width + x).copied().unwrap_or(0))
        };
        let half = count((f(rows.len() * (2 * radius + 1)) * share).floor());
        let mut tally = Tally { counts: [0; STEPS], below: 0, middle: 0 };
        (-int(radius)..=int(radius)).flat_map(column).for_each(|value| tally.add(value));
        let mut ranks = Vec::with_capacity(self.width);
        for x in 0..self.width {
            if x > 0 {
                column(int(x) - int(radius) - 1).for_each(|value| tally.take(value));
                column(int(x + radius)).for_each(|value| tally.add(value));
            }
            ranks.push(tally.step(half));
        }
        ranks
    }
}

/// How many values lie at each step, and how many of them below a middle one.
struct Tally {
    counts: [usize; STEPS],
    below: usize,
    middle: usize,
}

impl Tally {
    fn add(&mut self, value: usize) {
        if let Some(n) = self.counts.get_mut(value) {
            *n += 1;
        }
        self.below += usize::from(value < self.middle);
    }

    fn take(&mut self, value: usize) {
        if let Some(n) = self.counts.get_mut(value) {
            *n = n.saturating_sub(1);
        }
        self.below = self.below.saturating_sub(usize::from(value < self.middle));
    }

    /// Moves the middle to where no more than so many lie below it, and more than that no further up.
    fn step(&mut self, half: usize) -> usize {
        while self.below > half && self.middle > 0 {
            self.middle -= 1;
            self.below -= self.counts.get(self.middle).copied().unwrap_or(0);
        }
        while let Some(here) = self.counts.get(self.middle).filter(|n| self.below + **n <= half) {
            self.below += here;
            self.middle += 1;
        }
        self.middle
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_of_tones_is_the_curve() {
        let levels = Plane::from_fn(1021, 1, |x, _| f(x) / 4.0);
        let table = tones(&levels);
        assert!(table.values().iter().zip(levels.values()).all(|(t, l)| (t - tone(*l)).abs() < 0.02));
    }

    #[test]
    fn extremes_are_those_of_the_square() {
        let plane = Plane::from_fn(31, 23, |x, y| f((x * 37 + y * 61 + x * y) % 97));
        let (low, high) = (lowest(&plane, 2), highest(&plane, 3));
        for (x, y) in [(0, 0), (30, 22), (15, 11), (2, 20)] {
            let square = |r: usize| {
                let rows = y.max(r) - r..(y + r + 1).min(23);
                rows.flat_map(|v| (x.max(r) - r..(x + r + 1).min(31)).map(move |u| (u, v)))
                    .map(|(u, v)| plane.get(u, v))
                    .collect::<Vec<_>>()
            };
            assert_eq!(low.get(x, y), square(2).into_iter().fold(f32::MAX, f32::min));
            assert_eq!(high.get(x, y), square(3).into_iter().fold(f32::MIN, f32::max));
        }
    }

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
    fn bands_of_evidence_meet_without_a_seam() {
        let (width, height) = (64, 3 * BAND + 10);
        let wave = |shift: usize| move |x: usize, y: usize| f((x * 37 + (y + shift) * 61 + x * y) % 97);
        let (before, after) = (Plane::from_fn(width, height, wave(0)), Plane::from_fn(width, height, wave(3)));
        let loose = Plane::from_fn(width, height, |x, _| f(x) / 64.0);
        let seen = evidence(&before, &after, &loose, 2, Some(1.0));
        let light = [lowest(&seen.light, 1), highest(&seen.light, 1)];
        let [dimmest, brightest] = light.map(|coarse| coarse.scaled(width, height));
        let added = Reach::of(&before, &loose, 2).beyond(&after, (&dimmest, &brightest), 1.0, 1.0);
        let gone = Reach::of(&after, &loose, 2).beyond(&before, (&brightest, &dimmest), -1.0, 1.0);
        assert_eq!((seen.added, seen.gone), (added.clone(), gone));
        assert!(added.values().iter().any(|v| *v > 1.0));
    }

    #[test]
    fn the_edge_of_a_shadow_is_light_and_a_line_is_not() {
        let before = Plane::flat(128, 128, 90.0);
        let still = Plane::flat(128, 128, 0.0);
        let shadow = Plane::from_fn(128, 128, |x, _| if x < 60 { 90.0 } else { 65.0 });
        let seen = evidence(&before, &shadow, &still, 2, None);
        assert!(seen.added.values().iter().all(|v| v.abs() < 1.0));
        let line = Plane::from_fn(128, 128, |x, y| if y == 64 && (40..90).contains(&x) { 60.0 } else { 90.0 });
        let seen = evidence(&before, &line, &still, 2, None);
        assert!(seen.added.get(64, 64) < -20.0);
    }
}
