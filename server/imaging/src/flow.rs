//! From a plane to every place: the displacement of each cell, found from coarse to fine on pictures freed of light
//! and contrast, and held together where there is nothing to see.

use crate::field::Field;
use crate::geometry::Homography;
use crate::num::{f, floor};
use crate::plane::Plane;
use crate::register::Alignment;

/// A displacement from the plane that is known at a point.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seed {
    pub(crate) at: (f32, f32),
    pub(crate) by: (f32, f32),
}

/// How stiff the field is against what the pictures say.
const STIFFNESS: f32 = 0.5;
/// Displacements between neighbours beyond which they are let go of each other, in cells of the level.
const LET_GO: f32 = 0.08;
/// How much the plane that most points agree on holds a place that nothing else does: hardly, since a body is round and
/// what lies around a place knows better where it has gone.
const PLANE: f32 = 0.0001;
/// Sweeps over the field after each look at the pictures.
const SWEEPS: usize = 24;
/// Sweeps before it is looked again how firmly neighbours hold each other.
const AS_TIED: usize = 4;
/// Pixels of a level along a cell. Three cells by three are looked at for each node.
const CELL: usize = 4;
/// Copies by how many times smaller they are, and looks at each.
const LEVELS: [(usize, usize); 3] = [(8, 6), (4, 5), (2, 4)];

/// What a cell tells of the difference between the pictures.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    n: f32,
    xx: f32,
    xy: f32,
    yy: f32,
    xr: f32,
    yr: f32,
    a: f32,
    b: f32,
    aa: f32,
    bb: f32,
    ab: f32,
}

impl Sums {
    /// Of one pixel: the two pictures and the gradients of one of them.
    fn of(a: f32, b: f32, gx: f32, gy: f32) -> Self {
        let off = b - a;
        Self {
            n: 1.0,
            xx: gx * gx,
            xy: gx * gy,
            yy: gy * gy,
            xr: gx * off,
            yr: gy * off,
            a,
            b,
            aa: a * a,
            bb: b * b,
            ab: a * b,
        }
    }

    fn add(&mut self, o: &Self) {
        self.n += o.n;
        self.xx += o.xx;
        self.xy += o.xy;
        self.yy += o.yy;
        self.xr += o.xr;
        self.yr += o.yr;
        self.a += o.a;
        self.b += o.b;
        self.aa += o.aa;
        self.bb += o.bb;
        self.ab += o.ab;
    }

    /// Variances and covariance of the two pictures.
    fn moments(&self) -> (f32, f32, f32) {
        let n = self.n.max(1.0);
        let moment = |pq: f32, p: f32, q: f32| pq / n - p * q / (n * n);
        (moment(self.aa, self.a, self.a), moment(self.bb, self.b, self.b), moment(self.ab, self.a, self.b))
    }

    /// Correlation, -1 to 1; 0 where either is flat.
    fn agreement(&self) -> f32 {
        let (aa, bb, ab) = self.moments();
        ab / (aa.max(0.0) * bb.max(0.0)).sqrt().max(0.02)
    }
}

/// Finds the displacement of every cell from the plane and the seeds.
pub(crate) fn refine(before: &Plane, after: &Plane, map: Homography, seeds: &[Seed]) -> Alignment {
    let (width, height) = (after.width(), after.height());
    let (befores, afters) = rayon::join(|| copies(before), || copies(after));
    let mut field = Field::still(width, height, f(LEVELS[0].0 * CELL));
    sow(&mut field, seeds);
    let mut sums = Vec::new();
    for (times, looks) in LEVELS {
        let which = usize::try_from(times.ilog2()).unwrap_or(0);
        let (Some(b), Some(a)) = (befores.get(which), afters.get(which)) else { continue };
        let steep = |a: Plane| (a.gradients(), a);
        let (b, ((gx, gy), a)) = rayon::join(|| evened(b), || steep(evened(a)));
        field = field.respaced(width, height, f(times * CELL));
        let level = Level { times: f(times), b: &b, a: &a, gx: &gx, gy: &gy, map: &map };
        for _ in 0..looks {
            sums = level.look(&field);
            pull(&mut field, &sums);
        }
        if LEVELS.last() == Some(&(times, looks)) {
            sums = level.look(&field);
        }
    }
    let (across, down) = (field.dx.width(), field.dx.height());
    let of =
        |value: &dyn Fn(&Sums) -> f32| Plane::from_fn(across, down, |i, j| sums.get(j * across + i).map_or(0.0, value));
    let whole = f((3 * CELL) * (3 * CELL));
    let agreement = of(&|s| if s.n < 0.5 * whole { 0.0 } else { s.agreement() });
    let substance = of(&|s| {
        let (aa, bb, _) = s.moments();
        if s.n < 0.5 * whole { 0.0 } else { ((aa.min(bb) - 0.15) / 0.35).clamp(0.0, 1.0) }
    });
    Alignment { map, field, agreement, substance }
}

/// The picture, a little softened, and ever smaller copies of it.
fn copies(plane: &Plane) -> Vec<Plane> {
    let first = Some(plane.gaussian_to(0.6, 2));
    std::iter::successors(first, |larger| Some(larger.halved())).take(4).collect()
}

/// Grey levels less their surroundings' mean, over their surroundings' contrast: light and shade fall out.
fn evened(plane: &Plane) -> Plane {
    const SURROUNDINGS: f32 = 5.0;
    /// Grey levels that noise makes without anything being there.
    const NOISE: f32 = 10.0;
    let detail = plane.with(&plane.gaussian(SURROUNDINGS), |v, m| v - m);
    let contrast = detail.map(|v| v * v).gaussian(SURROUNDINGS);
    detail.with(&contrast, |v, c| v / (c.max(0.0).sqrt() + NOISE))
}

struct Level<'a> {
    times: f32,
    b: &'a Plane,
    a: &'a Plane,
    gx: &'a Plane,
    gy: &'a Plane,
    map: &'a Homography,
}

impl Level<'_> {
    /// The sums of three cells by three around each node.
    fn look(&self, field: &Field) -> Vec<Sums> {
        let (across, down) = (field.dx.width(), field.dx.height());
        let rows: Vec<usize> = (0..down).collect();
        let (top, bottom) = rows.split_at(down / 2);
        let (mut cells, rest) = rayon::join(|| self.cells(field, top), || self.cells(field, bottom));
        cells.extend(rest);
        let beside = |line: &[Sums]| -> Vec<Sums> {
            (0..line.len())
                .map(|i| {
                    let mut sum = Sums::default();
                    line.iter().take(i + 2).skip(i.saturating_sub(1)).for_each(|s| sum.add(s));
                    sum
                })
                .collect()
        };
        let wide: Vec<Vec<Sums>> = cells.chunks(across.max(1)).map(beside).collect();
        (0..down)
            .flat_map(|j| {
                let mut line = vec![Sums::default(); across];
                for other in wide.iter().take(j + 2).skip(j.saturating_sub(1)) {
                    line.iter_mut().zip(other).for_each(|(to, s)| to.add(s));
                }
                line
            })
            .collect()
    }

    /// The sums of the cells of some rows of cells.
    fn cells(&self, field: &Field, rows: &[usize]) -> Vec<Sums> {
        let across = field.dx.width();
        let mut cells = vec![Sums::default(); across * rows.len()];
        let mut moved = Vec::new();
        let (right, bottom) = (f(self.b.width()) - 1.5, f(self.b.height()) - 1.5);
        let share = 1.0 / self.times;
        for (line, j) in cells.chunks_mut(across.max(1)).zip(rows) {
            for y in (j * CELL..(j + 1) * CELL).take_while(|y| *y < self.a.height()) {
                let wy = (f(y) + 0.5) * self.times - 0.5;
                field.row(wy, 0.5 * self.times - 0.5, self.times, self.a.width(), &mut moved);
                let gradients = self.gx.row(y).chunks(CELL).zip(self.gy.row(y).chunks(CELL));
                let parts = self.a.row(y).chunks(CELL).zip(gradients).zip(moved.chunks(CELL));
                for ((cell, first), ((a, (gx, gy)), moved)) in line.iter_mut().zip((0..).step_by(CELL)).zip(parts) {
                    let mut sums = Sums::default();
                    for (k, (((a, gx), gy), (dx, dy))) in a.iter().zip(gx).zip(gy).zip(moved).enumerate() {
                        let (u, v) = self.map.apply((f(first + k) + 0.5) * self.times - 0.5, wy);
                        let (u, v) = ((u + dx + 0.5) * share - 0.5, (v + dy + 0.5) * share - 0.5);
                        if u < 0.5 || v < 0.5 || u > right || v > bottom {
                            continue;
                        }
                        sums.add(&Sums::of(*a, self.b.sample(u, v), *gx, *gy));
                    }
                    cell.add(&sums);
                }
            }
        }
        cells
    }
}

/// What holds a node: a tensor and where it pulls to.
#[derive(Clone, Copy, Default)]
struct Pull {
    xx: f32,
    xy: f32,
    yy: f32,
    x: f32,
    y: f32,
}

/// Moves the field by what the cells say, weighed by how well they agree at all.
fn pull(field: &mut Field, sums: &[Sums]) {
    let across = field.dx.width();
    // Gradients and displacements of a level are per pixel of it.
    let times = field.spacing / f(CELL);
    let pulls: Vec<Pull> = sums
        .iter()
        .enumerate()
        .map(|(index, s)| {
            if s.n < 8.0 {
                return Pull::default();
            }
            let trust = ((s.agreement() - 0.25) / 0.5).clamp(0.0, 1.0);
            let weight = trust * trust / s.n;
            let (vx, vy) = (field.dx.get(index % across, index / across), field.dy.get(index % across, index / across));
            let (xx, xy, yy) = (s.xx * weight, s.xy * weight, s.yy * weight);
            // No look can see further than its own cells.
            let (gx, gy) = (-s.xr * weight * times, -s.yr * weight * times);
            Pull { xx, xy, yy, x: xx * vx + xy * vy + gx, y: xy * vx + yy * vy + gy }
        })
        .collect();
    let far = LET_GO * field.spacing;
    settle(field, &pulls, far);
}

/// Begins from the seeds.
fn sow(field: &mut Field, seeds: &[Seed]) {
    let (across, down) = (field.dx.width(), field.dx.height());
    let mut pulls = vec![Pull::default(); across * down];
    for seed in seeds {
        let node = |v: f32, most: usize| usize::try_from(floor(v / field.spacing)).unwrap_or(0).min(most - 1);
        let index = node(seed.at.1, down) * across + node(seed.at.0, across);
        if let Some(pull) = pulls.get_mut(index) {
            pull.xx += 0.05;
            pull.yy += 0.05;
            pull.x += 0.05 * seed.by.0;
            pull.y += 0.05 * seed.by.1;
        }
    }
    let far = LET_GO * field.spacing;
    for _ in 0..4 {
        settle(field, &pulls, far);
    }
}

/// How firmly the neighbours of a grid hold each other: of each node the one to the right, and the one below.
struct Ties {
    right: Vec<f32>,
    below: Vec<f32>,
}

impl Ties {
    /// Those that are apart let go of each other; nothing holds what lies beyond the border.
    fn of(field: &Field, far: f32) -> Self {
        let (across, down) = (field.dx.width(), field.dx.height());
        let tie = |i: usize, j: usize, u: usize, v: usize| {
            if u >= across || v >= down {
                return 0.0;
            }
            let (x, y) = (field.dx.get(i, j) - field.dx.get(u, v), field.dy.get(i, j) - field.dy.get(u, v));
            STIFFNESS / (1.0 + (x * x + y * y) / (far * far)).sqrt()
        };
        let all = |right: usize, below: usize| {
            (0..down)
                .flat_map(|j| (0..across).map(move |i| (i, j)))
                .map(|(i, j)| tie(i, j, i + right, j + below))
                .collect()
        };
        Self { right: all(1, 0), below: all(0, 1) }
    }
}

/// What a node is drawn to: by the pictures, and by each neighbour as firmly as it holds.
#[derive(Clone, Copy)]
struct Node {
    pull: (f32, f32),
    left: f32,
    right: f32,
    above: f32,
    below: f32,
    /// The inverse of what holds it.
    xx: f32,
    xy: f32,
    yy: f32,
}

impl Node {
    fn of(pull: &Pull, [left, right, above, below]: [f32; 4]) -> Self {
        let weight = PLANE + left + right + above + below;
        let (a, b, c) = (pull.xx + weight, pull.xy, pull.yy + weight);
        let share = 1.0 / (a * c - b * b).max(1e-12);
        let (xx, xy, yy) = (c * share, -b * share, a * share);
        Self { pull: (pull.x, pull.y), left, right, above, below, xx, xy, yy }
    }

    fn all(pulls: &[Pull], ties: &Ties, across: usize) -> Vec<Self> {
        let tie = |ties: &[f32], at: Option<usize>| at.and_then(|k| ties.get(k)).copied().unwrap_or(0.0);
        let ties = |k: usize| {
            let (left, above) = (tie(&ties.right, k.checked_sub(1)), tie(&ties.below, k.checked_sub(across)));
            [left, tie(&ties.right, Some(k)), above, tie(&ties.below, Some(k))]
        };
        pulls.iter().enumerate().map(|(k, pull)| Self::of(pull, ties(k))).collect()
    }
}

/// Sweeps until each node lies between what pulls it and its neighbours.
fn settle(field: &mut Field, pulls: &[Pull], far: f32) {
    for _ in 0..SWEEPS / AS_TIED {
        let nodes = Node::all(pulls, &Ties::of(field, far), field.dx.width());
        for _ in 0..AS_TIED {
            sweep(field, &nodes);
        }
    }
}

fn sweep(field: &mut Field, nodes: &[Node]) {
    let across = field.dx.width();
    let none = vec![0.0; across];
    let (mut right_x, mut right_y) = (none.clone(), none.clone());
    let (dx, dy) = (field.dx.values_mut(), field.dy.values_mut());
    for (j, nodes) in nodes.chunks_exact(across).enumerate() {
        let (above_x, xs, below_x) = rows(dx, j, across, &none);
        let (above_y, ys, below_y) = rows(dy, j, across, &none);
        // Nothing holds what lies beyond the end of a row.
        for (right, row) in [(&mut right_x, &*xs), (&mut right_y, &*ys)] {
            right.iter_mut().zip(row.iter().skip(1)).for_each(|(to, v)| *to = *v);
        }
        let right = right_x.iter().zip(&right_y);
        let above = above_x.iter().zip(above_y);
        let below = below_x.iter().zip(below_y);
        let (mut left_x, mut left_y) = (0.0, 0.0);
        let own = xs.iter_mut().zip(ys).zip(nodes);
        for ((((x, y), n), (right_x, right_y)), ((above_x, above_y), (below_x, below_y))) in
            own.zip(right).zip(above.zip(below))
        {
            let p = n.pull.0 + n.left * left_x + n.right * right_x + n.above * above_x + n.below * below_x;
            let q = n.pull.1 + n.left * left_y + n.right * right_y + n.above * above_y + n.below * below_y;
            // A little beyond, which settles sooner.
            *x += 1.4 * (n.xx * p + n.xy * q - *x);
            *y += 1.4 * (n.xy * p + n.yy * q - *y);
            (left_x, left_y) = (*x, *y);
        }
    }
}

/// A row of a grid between the one above it and the one below; `none` where there is none.
fn rows<'a>(grid: &'a mut [f32], row: usize, across: usize, none: &'a [f32]) -> (&'a [f32], &'a mut [f32], &'a [f32]) {
    let (before, rest) = grid.split_at_mut(row * across);
    let (row, after) = rest.split_at_mut(across);
    (before.rchunks_exact(across).next().unwrap_or(none), row, after.chunks_exact(across).next().unwrap_or(none))
}
