//! From what the network says about every place to a few boxes.

use crate::layers::Rows;
use crate::network::STRIDE;
use crate::num::{count, f};

/// A place worth a look, in pixels of AFTER.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    pub(crate) left: usize,
    pub(crate) top: usize,
    pub(crate) right: usize,
    pub(crate) bottom: usize,
    /// 0 to 1. No probability of damage.
    pub(crate) score: f32,
}

/// The network's own unit of length, in pixels: sizes are told as logarithms of multiples of it.
const UNIT: f32 = 16.0;
/// Pixels along a place of the network's output: it looks at every second place of half the size.
const CELL: f32 = 4.0;
const _: () = assert!(STRIDE == 2);
/// Share of the smaller of two places that both may cover and still be two.
const SHARED: f32 = 0.3;

impl Place {
    pub(crate) fn width(&self) -> f32 {
        f(self.right - self.left)
    }

    pub(crate) fn height(&self) -> f32 {
        f(self.bottom - self.top)
    }

    /// Share of the smaller place that both cover.
    fn shared(&self, other: &Self) -> f32 {
        let along = |a: (usize, usize), b: (usize, usize)| f(a.1.min(b.1).saturating_sub(a.0.max(b.0)));
        let across = along((self.left, self.right), (other.left, other.right));
        let down = along((self.top, self.bottom), (other.top, other.bottom));
        let area = |p: &Self| p.width() * p.height();
        across * down / area(self).min(area(other)).max(1.0)
    }
}

/// Places of at least a score within a picture of a size, highest first; of two that lie over each other only the
/// higher.
pub(crate) fn places(told: &Rows, least: f32, (width, height): (usize, usize)) -> Vec<Place> {
    let mut all = Vec::new();
    for y in 0..told.height {
        for x in 0..told.width {
            let score = logistic(told.get(0, x, y));
            if score >= least && peak(told, x, y) {
                all.extend(place(told, x, y, score, (width, height)));
            }
        }
    }
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut kept: Vec<Place> = Vec::new();
    for place in all {
        if kept.iter().all(|other| place.shared(other) <= SHARED) {
            kept.push(place);
        }
    }
    kept
}

/// Whether nothing beside it is higher; of two that are equal, the first.
fn peak(told: &Rows, x: usize, y: usize) -> bool {
    let own = told.get(0, x, y);
    let rows = y.saturating_sub(1)..(y + 2).min(told.height);
    rows.flat_map(|v| (x.saturating_sub(1)..(x + 2).min(told.width)).map(move |u| (u, v))).all(|(u, v)| {
        let other = told.get(0, u, v);
        if (v, u) < (y, x) { other < own } else { other <= own }
    })
}

fn place(told: &Rows, x: usize, y: usize, score: f32, (width, height): (usize, usize)) -> Option<Place> {
    let length = |channel: usize| UNIT * told.get(channel, x, y).clamp(-2.0, 4.0).exp();
    let middle = |at: usize, channel: usize| (f(at) + told.get(channel, x, y).clamp(-4.0, 4.0) + 0.5) * CELL;
    let (w, h) = (length(1), length(2));
    let (cx, cy) = (middle(x, 3), middle(y, 4));
    let span = |middle: f32, length: f32, most: usize| {
        (count(middle - length / 2.0).min(most), count(middle + length / 2.0).min(most))
    };
    let ((left, right), (top, bottom)) = (span(cx, w, width), span(cy, h, height));
    (left < right && top < bottom).then_some(Place { left, top, right, bottom, score })
}

/// From any number to one between 0 and 1.
pub(crate) fn logistic(value: f32) -> f32 {
    1.0 / (1.0 + (-value).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(of: impl Fn(usize, usize) -> [f32; 5]) -> Rows {
        let (width, height) = (20, 10);
        let data = (0..height)
            .flat_map(|y| (0..5).flat_map(move |c| (0..width).map(move |x| (c, x, y))))
            .map(|(c, x, y)| of(x, y)[c]);
        Rows { channels: 5, width, height, data: data.collect() }
    }

    #[test]
    fn a_peak_becomes_a_box_of_its_size_around_its_middle() {
        let rows =
            told(
                |x, y| if (x, y) == (7, 4) { [2.0, 0.0, 0.5_f32.ln(), 0.25, -0.5] } else { [-5.0, 0.0, 0.0, 0.0, 0.0] },
            );
        let found = places(&rows, 0.5, (80, 40));
        assert_eq!(found, vec![Place { left: 23, top: 12, right: 39, bottom: 20, score: logistic(2.0) }]);
    }

    #[test]
    fn of_two_over_each_other_the_higher_stays_and_nothing_reaches_beyond_the_picture() {
        let rows = told(|x, y| match (x, y) {
            (3, 3) => [1.0, 0.7, 0.7, 0.0, 0.0],
            (5, 3) => [3.0, 0.7, 0.7, 0.0, 0.0],
            (19, 9) => [0.5, 0.7, 0.7, 0.0, 0.0],
            _ => [-5.0, 0.0, 0.0, 0.0, 0.0],
        });
        let found = places(&rows, 0.5, (80, 40));
        assert_eq!(found.len(), 2);
        assert!(found[0].score > found[1].score && found[0].left > 0);
        assert_eq!((found[1].right, found[1].bottom), (80, 40));
    }
}
