//! Finding where each place of one photograph is in another of the same thing, taken from nearby.
//!
//! First the points that both show, then the one plane that most of them agree on, then every place on its own: a
//! vehicle is not flat, and what stands nearer moves more.

use crate::features::{find, matches, place};
use crate::field::Field;
use crate::flow;
use crate::geometry::{Homography, Pair};
use crate::num::{count, f};
use crate::plane::Plane;

/// Where each place of AFTER is in BEFORE.
#[derive(Clone, Debug)]
pub(crate) struct Alignment {
    /// From AFTER to BEFORE: the plane that most points agree on.
    pub(crate) map: Homography,
    /// What is to be added to it, in pixels.
    pub(crate) field: Field,
    /// How well the surroundings of each node of the field agree, -1 to 1, and how much there is to agree on, 0 to 1.
    pub(crate) agreement: Plane,
    pub(crate) substance: Plane,
}

/// Shares of the longest edge.
const REACH: f32 = 0.42;
const ON_PLANE: f32 = 0.012;
const OFF_PLANE: f32 = 0.08;
const LIKE_NEIGHBOURS: f32 = 0.012;
/// Points that must lie on the plane: fewer come about by chance.
const LEAST_POINTS: usize = 14;
/// Share of the places with anything to see on them whose surroundings must agree.
const LEAST_AGREEMENT: f32 = 0.3;

impl Alignment {
    /// Where a place of AFTER is in BEFORE.
    #[inline]
    pub(crate) fn apply(&self, x: f32, y: f32) -> (f32, f32) {
        let ((u, v), (dx, dy)) = (self.map.apply(x, y), self.field.at(x, y));
        (u + dx, v + dy)
    }

    /// The same for a row of places, `step` apart, beginning at `first`.
    pub(crate) fn row(&self, y: f32, first: f32, step: f32, count: usize, into: &mut Vec<(f32, f32)>) {
        self.field.row(y, first, step, count, into);
        for (k, place) in into.iter_mut().enumerate() {
            let (u, v) = self.map.apply(first + f(k) * step, y);
            *place = (u + place.0, v + place.1);
        }
    }

    /// Share of what there is to see that agrees.
    pub(crate) fn agreed(&self) -> f32 {
        let weight: f32 = self.substance.values().iter().sum();
        let values = self.agreement.values().iter().zip(self.substance.values());
        let agreed: f32 = values.map(|(a, s)| if *a > 0.5 { *s } else { 0.0 }).sum();
        if weight > 0.0 { agreed / weight } else { 0.0 }
    }
}

/// Lays AFTER over BEFORE; nothing when they cannot be laid over each other, rather than a guess.
pub(crate) fn register(before: &Plane, after: &Plane) -> Option<Alignment> {
    let longest = f(after.width().max(after.height()));
    let pairs = pairs(before, after, longest);
    let map = plane_of(&pairs, after, ON_PLANE * longest)?;
    let seeds = seeds(&pairs, &map, longest);
    let found = flow::refine(before, after, map, &seeds);
    (found.agreed() >= LEAST_AGREEMENT).then_some(found)
}

/// Points that both pictures show, surest first.
///
/// Looked for on smaller copies: where a point is to a pixel or two is enough to begin with.
fn pairs(before: &Plane, after: &Plane, longest: f32) -> Vec<(Pair, f32)> {
    const EDGE: f32 = 768.0;
    let times = (longest / EDGE).max(1.0);
    let small = |plane: &Plane| {
        if times > 1.0 {
            let edge = |length: usize| count(f(length) / times).max(1);
            plane.gaussian_to(0.45 * times, 2).scaled(edge(plane.width()), edge(plane.height()))
        } else {
            plane.clone()
        }
    };
    let (these, those) = rayon::join(|| find(&small(after)), || find(&small(before)));
    let large = |(x, y): (f32, f32)| ((x + 0.5) * times - 0.5, (y + 0.5) * times - 0.5);
    let pair = |a: usize, b: usize| Some(Pair { from: large(place(these.get(a)?)), to: large(place(those.get(b)?)) });
    let mut pairs: Vec<_> = matches(&these, &those, REACH * longest / times)
        .into_iter()
        .filter_map(|(a, b, sure)| Some((pair(a, b)?, sure)))
        .collect();
    pairs.sort_by(|a, b| b.1.total_cmp(&a.1));
    pairs
}

fn off(map: &Homography, pair: &Pair) -> f32 {
    let (x, y) = map.apply(pair.from.0, pair.from.1);
    (x - pair.to.0).hypot(y - pair.to.1)
}

/// The plane that most pairs agree on: drawn by lot from four pairs at a time, the lots the same every time.
fn plane_of(pairs: &[(Pair, f32)], after: &Plane, near: f32) -> Option<Homography> {
    const DRAWS: usize = 1500;
    /// The surest are enough to tell one plane from another.
    const JUDGES: usize = 400;
    let (width, height) = (f(after.width()), f(after.height()));
    let score = |map: &Homography| -> f32 {
        pairs.iter().take(JUDGES).map(|(p, _)| (1.0 - (off(map, p) / near).powi(2)).max(0.0)).sum()
    };
    let mut lots = Lots(0x9E37_79B9_7F4A_7C15);
    let mut best: Option<(f32, Homography)> = None;
    for draw in 0..DRAWS {
        // The surest come first: later draws take in more of the others.
        let among = pairs.len().min(24 + draw * pairs.len() / DRAWS);
        let drawn: Option<Vec<_>> = (0..4).map(|_| pairs.get(lots.below(among)).map(|(p, _)| (*p, 1.0))).collect();
        let map = drawn.and_then(|d| Homography::fit(&d)).filter(|m| m.plausible(width, height));
        if let Some(map) = map {
            let score = score(&map);
            if best.as_ref().is_none_or(|(s, _)| score > *s) {
                best = Some((score, map));
            }
        }
    }
    let (_, mut map) = best?;
    for _ in 0..4 {
        let near: Vec<_> = pairs
            .iter()
            .map(|(p, _)| (*p, (1.0 - (off(&map, p) / near).powi(2)).max(0.0)))
            .filter(|(_, weight)| *weight > 0.0)
            .collect();
        if near.len() < LEAST_POINTS {
            return None;
        }
        map = Homography::fit(&near).filter(|m| m.plausible(width, height))?;
    }
    Some(map)
}

/// Pairs off the plane that agree with those around them, as displacement from the plane.
fn seeds(pairs: &[(Pair, f32)], map: &Homography, longest: f32) -> Vec<flow::Seed> {
    /// The pair itself and six around it.
    const NEAREST: usize = 7;
    let moved: Vec<_> = pairs
        .iter()
        .filter(|(p, _)| off(map, p) < OFF_PLANE * longest)
        .map(|(p, _)| {
            let (x, y) = map.apply(p.from.0, p.from.1);
            flow::Seed { at: p.from, by: (p.to.0 - x, p.to.1 - y) }
        })
        .collect();
    let alike = |a: &flow::Seed, b: &flow::Seed| (a.by.0 - b.by.0).hypot(a.by.1 - b.by.1) < LIKE_NEIGHBOURS * longest;
    let agrees = |seed: &flow::Seed| {
        let mut near: Vec<_> = moved.iter().map(|s| ((s.at.0 - seed.at.0).hypot(s.at.1 - seed.at.1), s)).collect();
        // The nearest is the seed itself, which is like itself.
        if near.len() > NEAREST {
            near.select_nth_unstable_by(NEAREST, |a, b| a.0.total_cmp(&b.0));
            near.truncate(NEAREST);
        }
        near.iter().filter(|(_, s)| alike(s, seed)).count() > 3
    };
    moved.iter().filter(|s| agrees(s)).copied().collect()
}

/// Numbers without pattern that come out the same every time (xorshift).
struct Lots(u64);

impl Lots {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        let most = u64::try_from(most.max(1)).unwrap_or(1);
        usize::try_from(self.0 % most).unwrap_or(0)
    }
}
