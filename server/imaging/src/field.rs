//! A displacement for every place, kept on a coarse grid.

use crate::num::{f, floor};
use crate::plane::Plane;

/// Displacements at the middles of square cells.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    /// Side of a cell, in pixels of the picture.
    pub(crate) spacing: f32,
    pub(crate) dx: Plane,
    pub(crate) dy: Plane,
}

impl Field {
    /// Nothing moves.
    pub(crate) fn still(width: usize, height: usize, spacing: f32) -> Self {
        let cells = |length: usize| crate::num::count((f(length) / spacing).ceil()).max(1);
        let flat = Plane::flat(cells(width), cells(height), 0.0);
        Self { spacing, dx: flat.clone(), dy: flat }
    }

    /// Where a node lies in the picture.
    pub(crate) fn node(&self, i: usize, j: usize) -> (f32, f32) {
        ((f(i) + 0.5) * self.spacing - 0.5, (f(j) + 0.5) * self.spacing - 0.5)
    }

    #[inline]
    pub(crate) fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let (u, v) = ((x + 0.5) / self.spacing - 0.5, (y + 0.5) / self.spacing - 0.5);
        (self.dx.sample(u, v), self.dy.sample(u, v))
    }

    /// The same displacements on a grid of another spacing.
    pub(crate) fn respaced(&self, width: usize, height: usize, spacing: f32) -> Self {
        let mut to = Self::still(width, height, spacing);
        for j in 0..to.dx.height() {
            for i in 0..to.dx.width() {
                let (x, y) = to.node(i, j);
                let (dx, dy) = self.at(x, y);
                to.dx.set(i, j, dx);
                to.dy.set(i, j, dy);
            }
        }
        to
    }

    /// The displacements along a row of pixels, `step` apart, beginning at `first`.
    pub(crate) fn row(&self, y: f32, first: f32, step: f32, count: usize, into: &mut Vec<(f32, f32)>) {
        into.clear();
        let v = (y + 0.5) / self.spacing - 0.5;
        let (j, share) = (floor(v), v - v.floor());
        let column = |i: i32| {
            let mix = |p: &Plane| p.at(i, j) * (1.0 - share) + p.at(i, j + 1) * share;
            (mix(&self.dx), mix(&self.dy))
        };
        let mut at = i32::MIN;
        let (mut left, mut right) = ((0.0, 0.0), (0.0, 0.0));
        for k in 0..count {
            let u = (first + f(k) * step + 0.5) / self.spacing - 0.5;
            let i = floor(u);
            if i != at {
                (left, right) = (column(i), column(i + 1));
                at = i;
            }
            let share = u - u.floor();
            into.push((left.0 + (right.0 - left.0) * share, left.1 + (right.1 - left.1) * share));
        }
    }

    /// How fast the displacement changes from node to node, in pixels a pixel: high where something stands before
    /// something else.
    pub(crate) fn steepness(&self) -> Plane {
        let (xx, xy) = self.dx.gradients();
        let (yx, yy) = self.dy.gradients();
        let size = |a: &Plane, b: &Plane| a.with(b, |x, y| (x * x + y * y).sqrt());
        size(&size(&xx, &xy), &size(&yx, &yy)).map(|v| v / self.spacing)
    }
}
