//! How the few places that the network proposes are judged: by what it says of each, by what a closer look says, and by
//! what neither weighs from where it stands: whether colour has come, which a leaf brings and a mark does not; and
//! whether what was found lies along edges that are a little off.

use crate::change::highest;
use crate::num::count;
use crate::places::{Place, logistic};
use crate::plane::{Plane, quantile};

/// Numbers about each place.
pub(crate) const FIGURES: usize = 6;

/// What the pictures tell around places, at half the size.
#[derive(Clone, Debug)]
pub(crate) struct Circumstances {
    /// What AFTER adds, in steps of noise, where it is more than noise.
    evidence: Plane,
    /// How steep the tones of BEFORE are.
    edges: Plane,
    /// How much more colour AFTER has.
    colour: Plane,
    /// Where BEFORE shows AFTER's place at all.
    shown: Plane,
}

/// Steps of noise that are more than noise, and those that tell no more.
const SOME: f32 = 2.0;
const MOST: f32 = 12.0;

impl Circumstances {
    /// From what AFTER adds, without sign, the tones of BEFORE, how much more colour AFTER has and what BEFORE shows.
    pub(crate) fn of(added: &Plane, before: &Plane, colour: Plane, shown: Plane) -> Self {
        let (across, down) = before.gradients();
        Self {
            evidence: added.map(|v| if v > SOME { v.min(MOST) } else { 0.0 }),
            edges: highest(&across.with(&down, |x, y| (x * x + y * y).sqrt()), 1),
            colour,
            shown,
        }
    }

    /// Whether BEFORE shows the middle of a place at all: what it does not show cannot be told to be new.
    pub(crate) fn shows(&self, place: &Place) -> bool {
        let middle = |from: usize, to: usize, most: usize| (usize::midpoint(from, to) / 2).min(most.saturating_sub(1));
        let (width, height) = (self.shown.width(), self.shown.height());
        self.shown.get(middle(place.left, place.right, width), middle(place.top, place.bottom, height)) >= 1.0
    }
}

/// Numbers about each place: what the network says, how wide it is, how much colour has come, how much there is to see,
/// how much of that lies along edges, and what a closer look says.
pub(crate) fn figures(places: &[Place], seen: &Circumstances, closer: &[f32]) -> Vec<[f32; FIGURES]> {
    let one = |(index, place): (usize, &Place)| {
        let (inner, around) = (Window::of(place, 0.0, &seen.shown), Window::of(place, 0.6, &seen.shown));
        let evidence: f32 = inner.values(&seen.evidence).sum();
        let on_edges: f32 = inner.values(&seen.evidence).zip(inner.values(&seen.edges)).map(|(e, g)| e * g).sum();
        let colour = |window: &Window, share: f32| quantile(window.values(&seen.colour).collect(), share);
        [
            log_odds(place.score),
            place.width().ln(),
            colour(&inner, 0.9) - colour(&around, 0.5),
            evidence.ln_1p(),
            on_edges / (evidence + 5.0),
            closer.get(index).copied().unwrap_or(0.0),
        ]
    };
    places.iter().enumerate().map(one).collect()
}

fn log_odds(score: f32) -> f32 {
    let score = score.clamp(1e-4, 1.0 - 1e-4);
    (score / (1.0 - score)).ln()
}

/// Weights of the figures, and what is added to their sum: a logistic regression on pairs that neither network was
/// fitted on (`tests/bench/fit-pointing --judge`).
const WEIGHTS: [f32; FIGURES] = [0.5141, -0.0678, -0.0381, 0.0773, 0.0154, 1.1439];
const BIAS: f32 = -1.9497;

/// The places with another score each, the highest first.
pub(crate) fn judged(mut places: Vec<Place>, figures: &[[f32; FIGURES]]) -> Vec<Place> {
    for (place, figures) in places.iter_mut().zip(figures) {
        place.score = logistic(figures.iter().zip(WEIGHTS).map(|(v, w)| v * w).sum::<f32>() + BIAS);
    }
    places.sort_by(|a, b| b.score.total_cmp(&a.score));
    places
}

/// A part of a plane at half the size.
struct Window {
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

impl Window {
    /// The window of a place, larger by a share of its longer side to each side; one value at least.
    fn of(place: &Place, more: f32, plane: &Plane) -> Self {
        let by = if more > 0.0 { count(more * place.width().max(place.height()) / 2.0) + 3 } else { 0 };
        let span = |first: usize, last: usize, most: usize| {
            let first = (first / 2).saturating_sub(by).min(most.saturating_sub(1));
            (first, (last / 2 + by).clamp(first + 1, most.max(first + 1)))
        };
        let (left, right) = span(place.left, place.right, plane.width());
        let (top, bottom) = span(place.top, place.bottom, plane.height());
        Self { left, top, right, bottom }
    }

    fn values<'a>(&'a self, plane: &'a Plane) -> impl Iterator<Item = f32> + 'a {
        let rows = (self.top..self.bottom).map(|y| plane.row(y));
        rows.flat_map(|row| row.get(self.left..self.right).unwrap_or(&[])).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(left: usize, top: usize, score: f32) -> Place {
        Place { left, top, right: left + 20, bottom: top + 10, score }
    }

    fn seen(
        added: impl Fn(usize, usize) -> f32,
        before: impl Fn(usize, usize) -> f32,
        colour: impl Fn(usize, usize) -> f32,
        shown: impl Fn(usize, usize) -> f32,
    ) -> Circumstances {
        let plane = |of: &dyn Fn(usize, usize) -> f32| Plane::from_fn(60, 40, of);
        Circumstances::of(&plane(&added), &plane(&before), plane(&colour), plane(&shown))
    }

    #[test]
    fn figures_tell_what_is_around_a_place() {
        // A mark at (20, 20) of the picture, so at (10, 10) of these; all of its evidence on a step of BEFORE.
        let within = |x: usize, y: usize| (10..20).contains(&x) && (10..15).contains(&y);
        let seen = seen(
            |x, y| if within(x, y) && x == 15 { 30.0 } else { 1.0 },
            |x, _| if x < 15 { 0.0 } else { 50.0 },
            |x, y| if within(x, y) { 8.0 } else { 0.0 },
            |x, _| if x < 40 { 1.0 } else { 0.0 },
        );
        let [here, there] = figures(&[place(20, 20, 0.5), place(90, 20, 0.9)], &seen, &[1.5, -2.0])[..] else {
            panic!("two")
        };
        assert!(here[0].abs() < 1e-5 && there[0] > 2.0);
        assert!((here[1] - 20.0_f32.ln()).abs() < 1e-5);
        assert!((here[2] - 8.0).abs() < 1e-5 && there[2].abs() < 1e-5);
        // Five places of twelve steps each: what is beyond twelve tells no more.
        assert!((here[3] - 61.0_f32.ln()).abs() < 1e-4 && there[3].abs() < 1e-6);
        assert!((here[4] - 25.0 * 60.0 / 65.0).abs() < 1e-3 && there[4].abs() < 1e-6);
        assert_eq!((here[5], there[5]), (1.5, -2.0));
    }

    #[test]
    fn of_two_that_the_network_takes_for_alike_the_one_that_a_closer_look_confirms_comes_first() {
        let seen = seen(|_, _| 8.0, |_, _| 90.0, |_, _| 0.0, |_, _| 1.0);
        let alike = vec![place(20, 20, 0.6), place(80, 20, 0.6)];
        let figures = figures(&alike, &seen, &[-2.0, 2.0]);
        let places = judged(alike, &figures);
        assert_eq!(places.iter().map(|p| p.left).collect::<Vec<_>>(), [80, 20]);
        assert!(places[0].score > places[1].score + 0.2 && places[0].score < 1.0);
    }

    #[test]
    fn what_before_does_not_show_is_told_apart() {
        let seen = seen(|_, _| 0.0, |_, _| 0.0, |_, _| 0.0, |x, _| if x < 40 { 1.0 } else { 0.0 });
        assert!(seen.shows(&place(60, 20, 0.5)));
        assert!(!seen.shows(&place(72, 20, 0.5)), "its middle is beyond, though it begins within");
    }
}
