//! Points that can be found again from another place and in other light, and what is around them.

use crate::num::{count, f};
use crate::plane::Plane;
use ndarray::linalg::general_mat_mul;
use ndarray::{Array2, aview1};
use rayon::prelude::*;

/// Directions that gradients are sorted by.
const DIRECTIONS: usize = 8;
/// Samples around a point, each way.
const SAMPLES: usize = 4;
/// Pixels of the halved planes between samples.
const STEP: f32 = 2.5;
const LENGTH: usize = DIRECTIONS * SAMPLES * SAMPLES;
/// Pixels from the border within which no point is taken.
const MARGIN: usize = 9;
/// Each copy of the picture is this much smaller than the one before.
const SHRINK: f32 = 1.5;
const COPIES: usize = 3;
/// Side of the cells that points are spread over, and points of a cell.
const CELL: usize = 24;
const EACH: usize = 2;

/// A point and what is around it. Upright on purpose: cameras held by hand turn by a few degrees only, and a
/// description that does not care which way is up mistakes one corner of a window for the other.
#[derive(Clone, Debug)]
pub(crate) struct Feature {
    pub(crate) x: f32,
    pub(crate) y: f32,
    /// Copy of the picture it was found in.
    copy: usize,
    around: [f32; LENGTH],
}

/// Finds points, spread over the picture.
pub(crate) fn find(plane: &Plane) -> Vec<Feature> {
    let of = |copy: usize| {
        let scale = (0..copy).fold(1.0, |scale, _| scale * SHRINK);
        let small = if copy == 0 {
            plane.gaussian_to(0.8, 2)
        } else {
            let (width, height) = (count(f(plane.width()) / scale), count(f(plane.height()) / scale));
            plane.gaussian(0.55 * scale).scaled(width.max(1), height.max(1))
        };
        if small.width().min(small.height()) > 4 * MARGIN { of_copy(&small, copy, scale) } else { Vec::new() }
    };
    let found: Vec<Vec<Feature>> = (0..COPIES).into_par_iter().map(of).collect();
    found.concat()
}

fn of_copy(plane: &Plane, copy: usize, scale: f32) -> Vec<Feature> {
    let (gx, gy) = plane.gradients();
    let (directions, corners) = rayon::join(|| directions(&gx, &gy), || corners(&gx, &gy));
    corners
        .into_iter()
        .filter_map(|(x, y)| {
            let around = around(&directions, f(x), f(y))?;
            Some(Feature { x: (f(x) + 0.5) * scale - 0.5, y: (f(y) + 0.5) * scale - 0.5, copy, around })
        })
        .collect()
}

/// Places where gradients of two directions meet (the smaller eigenvalue of their tensor), the best of each cell.
fn corners(gx: &Plane, gy: &Plane) -> Vec<(usize, usize)> {
    let spread = |a: &Plane, b: &Plane| a.with(b, |x, y| x * y).mean(2);
    let (xx, yy, xy) = (spread(gx, gx), spread(gy, gy), spread(gx, gy));
    let half = xx.with(&yy, |a, b| (a + b) / 2.0);
    let apart = xx.with(&yy, |a, b| (a - b) / 2.0).with(&xy, |a, b| (a * a + b * b).sqrt());
    let strength = half.with(&apart, |h, a| h - a);
    // A corner is one against the picture's own: what is common in it is not.
    let least = (strength.quantile(0.995) * 0.01).max(0.5);
    let (width, height) = (strength.width(), strength.height());
    let (across, down) = (width.div_ceil(CELL), height.div_ceil(CELL));
    let mut cells: Vec<Vec<(f32, usize, usize)>> = vec![Vec::new(); across * down];
    for y in MARGIN..height.saturating_sub(MARGIN) {
        for x in MARGIN..width.saturating_sub(MARGIN) {
            let value = strength.get(x, y);
            if value < least || !peak(&strength, x, y, value) {
                continue;
            }
            if let Some(cell) = cells.get_mut((y / CELL) * across + x / CELL) {
                cell.push((value, x, y));
            }
        }
    }
    cells
        .into_iter()
        .flat_map(|mut cell| {
            cell.sort_by(|a, b| b.0.total_cmp(&a.0));
            cell.into_iter().take(EACH).map(|(_, x, y)| (x, y))
        })
        .collect()
}

fn peak(plane: &Plane, x: usize, y: usize, value: f32) -> bool {
    (y - 1..=y + 1).all(|v| {
        (x - 1..=x + 1).all(|u| {
            let other = plane.get(u, v);
            // Of two that are equal, the first.
            if (v, u) < (y, x) { other < value } else { other <= value }
        })
    })
}

/// How far gradients point in each direction, at half the size and softened.
fn directions(gx: &Plane, gy: &Plane) -> Vec<Plane> {
    let turn = std::f32::consts::TAU / f(DIRECTIONS);
    let pairs: Vec<[Plane; 2]> = (0..DIRECTIONS / 2)
        .into_par_iter()
        .map(|k| along(gx, gy, f(k) * turn).map(|p| p.gaussian_to(1.2, 3)))
        .collect();
    let (forth, back): (Vec<_>, Vec<_>) = pairs.into_iter().map(<(Plane, Plane)>::from).unzip();
    [forth, back].concat()
}

/// How far gradients point along an angle, and against it, at half the size.
fn along(gx: &Plane, gy: &Plane, angle: f32) -> [Plane; 2] {
    let (sin, cos) = angle.sin_cos();
    let (width, height) = (gx.width() / 2, gx.height() / 2);
    let (mut forth, mut back) = (Vec::with_capacity(width * height), Vec::with_capacity(width * height));
    for y in 0..height {
        let row = |y: usize| gx.row(y).chunks_exact(2).zip(gy.row(y).chunks_exact(2));
        for ((tx, ty), (bx, by)) in row(2 * y).zip(row(2 * y + 1)) {
            let (mut with, mut against) = (0.0, 0.0);
            for (x, y) in tx.iter().zip(ty).chain(bx.iter().zip(by)) {
                let size = cos * x + sin * y;
                with += size.max(0.0);
                against += (-size).max(0.0);
            }
            forth.push(with / 4.0);
            back.push(against / 4.0);
        }
    }
    [forth, back].map(|values| Plane::of_values(width, height, values))
}

/// The directions on a grid around a point, of length 1; nothing where all is flat.
fn around(directions: &[Plane], x: f32, y: f32) -> Option<[f32; LENGTH]> {
    let mut values = [0.0; LENGTH];
    let mut slots = values.iter_mut();
    let middle = f(SAMPLES - 1) / 2.0;
    for j in 0..SAMPLES {
        for i in 0..SAMPLES {
            let (u, v) = (x / 2.0 + (f(i) - middle) * STEP, y / 2.0 + (f(j) - middle) * STEP);
            for plane in directions {
                *slots.next()? = plane.sample(u, v);
            }
        }
    }
    unit(&mut values)?;
    // No single edge may speak for the whole.
    values.iter_mut().for_each(|v| *v = v.min(0.2));
    unit(&mut values)?;
    Some(values)
}

fn unit(values: &mut [f32]) -> Option<()> {
    let size = values.iter().map(|v| v * v).sum::<f32>().sqrt();
    (size > 1e-6).then(|| values.iter_mut().for_each(|v| *v /= size))
}

/// Pairs of a point of each picture that are each other's likest by a clear lead, no further apart than `reach`, with
/// how sure each is, 0 to 1.
pub(crate) fn matches(after: &[Feature], before: &[Feature], reach: f32) -> Vec<(usize, usize, f32)> {
    let middle = after.len() / 2;
    let (first, second) = after.split_at(middle);
    let (mut top, bottom) = rayon::join(|| compare(first, before, reach), || compare(second, before, reach));
    top.forth.extend(bottom.forth);
    for (one, other) in top.back.iter_mut().zip(&bottom.back) {
        one.merge(other, middle, after);
    }
    let mutual = top.forth.iter().enumerate().filter_map(|(a, best)| {
        let (b, sure) = best.clear()?;
        let (other, _) = top.back.get(b)?.clear()?;
        (other == a).then_some((a, b, sure))
    });
    mutual.collect()
}

/// The likest of the other picture, and how near the next likest comes that is another place.
#[derive(Clone, Copy)]
struct Likest {
    apart: f32,
    index: usize,
    at: (f32, f32),
    next: f32,
}

/// Points nearer than this are one place, found in two copies of the picture.
const ONE_PLACE: f32 = 6.0;

impl Likest {
    const NONE: Self = Self { apart: f32::MAX, index: 0, at: (0.0, 0.0), next: f32::MAX };

    fn see(&mut self, apart: f32, index: usize, that: &Feature) {
        if apart >= self.next {
            return;
        }
        let elsewhere = (self.at.0 - that.x).hypot(self.at.1 - that.y) > ONE_PLACE;
        if apart < self.apart {
            if elsewhere {
                self.next = self.apart;
            }
            *self = Self { apart, index, at: (that.x, that.y), next: self.next };
        } else if elsewhere {
            self.next = apart;
        }
    }

    /// Takes in what was found among points counted from `offset`.
    fn merge(&mut self, other: &Self, offset: usize, among: &[Feature]) {
        if let Some(that) = among.get(other.index + offset).filter(|_| other.apart < f32::MAX) {
            self.see(other.apart, other.index + offset, that);
            self.next = self.next.min(other.next);
        }
    }

    /// The likest, when it is clearly liker than any other place.
    fn clear(&self) -> Option<(usize, f32)> {
        const LIKE: f32 = 0.8;
        const CLEAR: f32 = 0.86;
        let ratio = (self.apart.max(1e-6) / self.next.max(1e-6)).sqrt();
        (self.apart < LIKE && ratio < CLEAR).then_some((self.index, 1.0 - ratio))
    }
}

struct Compared {
    forth: Vec<Likest>,
    back: Vec<Likest>,
}

fn compare(these: &[Feature], those: &[Feature], reach: f32) -> Compared {
    /// Points whose products with all others are worked out together.
    const TOGETHER: usize = 64;
    let mut back = vec![Likest::NONE; those.len()];
    let mut forth = Vec::with_capacity(these.len());
    let all = table(those);
    for some in these.chunks(TOGETHER) {
        let mut products = Array2::zeros((some.len(), those.len()));
        general_mat_mul(1.0, &table(some), &all.t(), 0.0, &mut products);
        for (this, products) in some.iter().zip(products.rows()) {
            let mut best = Likest::NONE;
            for (b, ((that, back), product)) in those.iter().zip(&mut back).zip(products).enumerate() {
                let near = (this.x - that.x).abs() < reach && (this.y - that.y).abs() < reach;
                if near && this.copy.abs_diff(that.copy) <= 1 {
                    let apart = 2.0 - 2.0 * product;
                    best.see(apart, b, that);
                    back.see(apart, forth.len(), this);
                }
            }
            forth.push(best);
        }
    }
    Compared { forth, back }
}

/// What is around each point, a row of it for each.
fn table(features: &[Feature]) -> Array2<f32> {
    let mut table = Array2::zeros((features.len(), LENGTH));
    table.rows_mut().into_iter().zip(features).for_each(|(mut row, f)| row.assign(&aview1(&f.around)));
    table
}

/// Where a point lies.
pub(crate) fn place(feature: &Feature) -> (f32, f32) {
    (feature.x, feature.y)
}
