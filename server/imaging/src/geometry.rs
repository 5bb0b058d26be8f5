//! Planes seen from two places: homographies, from points and applied to points.

/// A point pair: where something is in the one picture, and where in the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pair {
    pub(crate) from: (f32, f32),
    pub(crate) to: (f32, f32),
}

/// A projective map of the plane, row by row; the last entry is 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Homography([f64; 9]);

impl Homography {
    /// Where a point comes to lie; far away where it comes to lie at the horizon.
    #[inline]
    pub(crate) fn apply(&self, x: f32, y: f32) -> (f32, f32) {
        let [a, b, c, d, e, f, g, h, i] = self.0;
        let (x, y) = (f64::from(x), f64::from(y));
        let w = g * x + h * y + i;
        let w = if w.abs() < 1e-9 { 1e-9 } else { w };
        (crate::num::single((a * x + b * y + c) / w), crate::num::single((d * x + e * y + f) / w))
    }

    /// Least squares over four or more pairs, weighted; nothing when they do not span a plane.
    ///
    /// Solved on coordinates moved to their mean and scaled to unit spread, for the sake of the figures.
    pub(crate) fn fit(pairs: &[(Pair, f32)]) -> Option<Self> {
        if pairs.len() < 4 {
            return None;
        }
        let from = Frame::of(pairs.iter().map(|(p, _)| p.from));
        let to = Frame::of(pairs.iter().map(|(p, _)| p.to));
        let mut normal = [[0.0_f64; 9]; 8];
        for (pair, weight) in pairs {
            let (x, y) = from.framed(pair.from);
            let (u, v) = to.framed(pair.to);
            let weight = f64::from(*weight);
            for (row, right) in
                [([x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y], u), ([0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y], v)]
            {
                for (line, a) in normal.iter_mut().zip(row) {
                    for (cell, b) in line.iter_mut().zip(row.into_iter().chain([right])) {
                        *cell += weight * a * b;
                    }
                }
            }
        }
        let [a, b, c, d, e, f, g, h] = solve(normal)?;
        let inner = [a, b, c, d, e, f, g, h, 1.0];
        let whole = times(times(to.inverse(), inner), from.matrix());
        let last = whole[8];
        let map = Self(whole.map(|v| v / last));
        map.0.iter().all(|v| v.is_finite()).then_some(map)
    }

    /// Whether it could be the same view from a few steps aside: not mirrored, no part blown up or crushed.
    pub(crate) fn plausible(&self, width: f32, height: f32) -> bool {
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(|(x, y)| self.apply(x, y));
        let next = corners.iter().cycle().skip(1);
        let after = corners.iter().cycle().skip(2);
        let convex = corners.iter().zip(next.clone()).zip(after).all(|((a, b), c)| {
            let turn = (b.0 - a.0) * (c.1 - b.1) - (b.1 - a.1) * (c.0 - b.0);
            turn > 0.0
        });
        let sides = corners.iter().zip(next).zip([width, height, width, height]);
        let lengths = sides.map(|((a, b), was)| (b.0 - a.0).hypot(b.1 - a.1) / was);
        convex && lengths.into_iter().all(|ratio| (0.4..2.5).contains(&ratio))
    }
}

/// Mean and spread of some points.
struct Frame {
    x: f64,
    y: f64,
    scale: f64,
}

impl Frame {
    fn of(points: impl Iterator<Item = (f32, f32)> + Clone) -> Self {
        let count = crate::num::d(points.clone().count().max(1));
        let x = points.clone().map(|p| f64::from(p.0)).sum::<f64>() / count;
        let y = points.clone().map(|p| f64::from(p.1)).sum::<f64>() / count;
        let spread = points.map(|p| (f64::from(p.0) - x).hypot(f64::from(p.1) - y)).sum::<f64>() / count;
        Self { x, y, scale: if spread > 0.0 { 1.0 / spread } else { 1.0 } }
    }

    fn framed(&self, point: (f32, f32)) -> (f64, f64) {
        ((f64::from(point.0) - self.x) * self.scale, (f64::from(point.1) - self.y) * self.scale)
    }

    fn matrix(&self) -> [f64; 9] {
        let s = self.scale;
        [s, 0.0, -self.x * s, 0.0, s, -self.y * s, 0.0, 0.0, 1.0]
    }

    fn inverse(&self) -> [f64; 9] {
        let s = 1.0 / self.scale;
        [s, 0.0, self.x, 0.0, s, self.y, 0.0, 0.0, 1.0]
    }
}

fn times(a: [f64; 9], b: [f64; 9]) -> [f64; 9] {
    let [b0, b1, b2, b3, b4, b5, b6, b7, b8] = b;
    let [a0, a1, a2, a3, a4, a5, a6, a7, a8] = a;
    let row = |x: f64, y: f64, z: f64| [x * b0 + y * b3 + z * b6, x * b1 + y * b4 + z * b7, x * b2 + y * b5 + z * b8];
    let ([p, q, r], [s, t, u], [v, w, x]) = (row(a0, a1, a2), row(a3, a4, a5), row(a6, a7, a8));
    [p, q, r, s, t, u, v, w, x]
}

/// Eight equations with their right sides, by elimination with pivots.
fn solve(mut rows: [[f64; 9]; 8]) -> Option<[f64; 8]> {
    for column in 0..8 {
        let size = |row: &[f64; 9]| row.get(column).copied().unwrap_or(0.0);
        let best = (column..8).max_by(|a, b| {
            let of = |i: &usize| rows.get(*i).map_or(0.0, |r| size(r).abs());
            of(a).total_cmp(&of(b))
        })?;
        rows.swap(column, best);
        let pivot = *rows.get(column)?;
        let lead = size(&pivot);
        if lead.abs() < 1e-12 {
            return None;
        }
        for (index, row) in rows.iter_mut().enumerate() {
            if index == column {
                row.iter_mut().for_each(|v| *v /= lead);
            } else {
                let factor = size(row) / lead;
                row.iter_mut().zip(&pivot).for_each(|(v, p)| *v -= factor * p);
            }
        }
    }
    Some(rows.map(|row| row[8]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_is_found_again_from_its_points() {
        let map = Homography([1.05, 0.08, -30.0, -0.04, 0.97, 12.0, 1e-4, -5e-5, 1.0]);
        let pairs: Vec<_> = (0..12_u8)
            .map(|i| {
                let from = (f32::from(i % 4) * 200.0 + f32::from(i), f32::from(i / 4) * 150.0);
                (Pair { from, to: map.apply(from.0, from.1) }, 1.0)
            })
            .collect();
        let found = Homography::fit(&pairs).unwrap();
        let (a, b) = (found.apply(333.0, 222.0), map.apply(333.0, 222.0));
        assert!((a.0 - b.0).hypot(a.1 - b.1) < 0.01, "{a:?} {b:?}");
        assert!(found.plausible(800.0, 600.0));
    }

    #[test]
    fn points_on_a_line_span_no_plane() {
        let line: Vec<_> =
            (0..9_u8).map(|i| (Pair { from: (f32::from(i), 0.0), to: (f32::from(i), 1.0) }, 1.0)).collect();
        assert_eq!(Homography::fit(&line), None);
    }

    #[test]
    fn a_mirror_is_not_plausible() {
        assert!(!Homography([-1.0, 0.0, 800.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0]).plausible(800.0, 600.0));
    }
}
