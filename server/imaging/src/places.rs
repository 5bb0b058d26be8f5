//! Places that stand out in AFTER, and what is known about each.

use crate::change::tone;
use crate::maps::Maps;
use crate::num::f;
use crate::plane::{Plane, quantile};
use crate::register::Alignment;

/// What is told about a place, in this order.
pub const FEATURES: [&str; 26] = [
    "bar",
    "inside",
    "peak",
    "area",
    "ring",
    "ring_top",
    "plain",
    "bipolar",
    "brightness",
    "strength",
    "tone",
    "tone_before",
    "steep",
    "agreement",
    "known",
    "gone",
    "fine",
    "middle",
    "coarse",
    "fill",
    "long",
    "side",
    "frame",
    "reliable",
    "glass",
    "crowd",
];

/// A place that stands out, in pixels of AFTER.
#[derive(Clone, Debug)]
pub struct Place {
    pub left: usize,
    pub top: usize,
    pub right: usize,
    pub bottom: usize,
    pub features: [f32; FEATURES.len()],
}

/// What places are told from.
pub(crate) struct Scene<'a> {
    pub(crate) maps: &'a Maps,
    pub(crate) found: &'a Alignment,
    pub(crate) after: &'a Plane,
    /// BEFORE laid over AFTER.
    pub(crate) laid: &'a Plane,
}

/// Bars that places must rise above, in steps of noise. A strong place on restless ground has its own outline only
/// above a high bar, a faint one on a plain panel only above a low one.
const BARS: [f32; 6] = [3.0, 5.0, 8.0, 13.0, 21.0, 34.0];
/// Places larger than this share of the longest edge are weather or light.
const LARGEST: f32 = 0.33;
/// Places of fewer pixels, or no longer than this, are noise; at half the size.
const FEWEST: usize = 10;
const SHORTEST: f32 = 5.0;
/// Places whose areas are within this of each other, as logarithms, are of one size.
const ONE_SIZE: f32 = 0.7;

/// Connected places above each bar.
pub(crate) fn places(scene: &Scene<'_>) -> Vec<Place> {
    let soft = scene.maps.fused.gaussian_to(0.8, 2);
    let longest = f(soft.width().max(soft.height()));
    let around = Around::of(scene);
    let mut all = Vec::new();
    for bar in BARS {
        let found: Vec<_> = connected(&soft, bar)
            .into_iter()
            .map(|pixels| Patch::of(pixels, soft.width()))
            .filter(|p| p.pixels.len() >= FEWEST && (SHORTEST..=LARGEST * longest).contains(&p.side()))
            .collect();
        let sizes: Vec<f32> = found.iter().map(|p| f(p.pixels.len()).ln()).collect();
        for (patch, size) in found.iter().zip(&sizes) {
            // How many there are like it: one scratch is damage, a hundred are rain.
            let crowd = sizes.iter().filter(|s| (**s - size).abs() < ONE_SIZE).count();
            all.push(patch.place(scene, &around, &soft, bar, f(crowd).ln()));
        }
    }
    all
}

/// Pixels above a bar, by which are within two of each other.
fn connected(plane: &Plane, bar: f32) -> Vec<Vec<usize>> {
    let (width, height) = (plane.width(), plane.height());
    let mut open: Vec<bool> = plane.values().iter().map(|v| *v >= bar).collect();
    let mut found = Vec::new();
    for start in 0..open.len() {
        let Some(first) = open.get_mut(start).filter(|o| **o) else { continue };
        *first = false;
        let mut pixels = vec![start];
        let mut next = 0;
        while let Some(&at) = pixels.get(next) {
            next += 1;
            let (x, y) = (at % width, at / width);
            for v in y.saturating_sub(2)..(y + 3).min(height) {
                for u in x.saturating_sub(2)..(x + 3).min(width) {
                    if let Some(o) = open.get_mut(v * width + u).filter(|o| **o) {
                        *o = false;
                        pixels.push(v * width + u);
                    }
                }
            }
        }
        found.push(pixels);
    }
    found
}

/// What there is to see around each place, and how much of it is as it was.
struct Around {
    all: Plane,
    same: Plane,
    /// How fast the field changes, at its nodes.
    steep: Plane,
}

impl Around {
    fn of(scene: &Scene<'_>) -> Self {
        let both = contrast(&scene.after.halved(), 4).with(&contrast(&scene.laid.halved(), 4), f32::min);
        let energy = both.map(|v| v.min(20.0));
        let same = energy.with(&scene.maps.known, |e, k| e * k.max(0.0));
        Self { all: energy.mean(24), same: same.mean(24), steep: scene.found.field.steepness() }
    }
}

/// Standard deviation of tones over a square.
fn contrast(plane: &Plane, radius: usize) -> Plane {
    let tones = plane.map(tone);
    let mean = tones.mean(radius);
    tones.map(|v| v * v).mean(radius).with(&mean, |s, m| (s - m * m).max(0.0).sqrt())
}

/// Pixels of a place with their bounds, at half the size.
struct Patch {
    pixels: Vec<usize>,
    width: usize,
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

impl Patch {
    fn of(pixels: Vec<usize>, width: usize) -> Self {
        let (mut left, mut top, mut right, mut bottom) = (usize::MAX, usize::MAX, 0, 0);
        for at in &pixels {
            let (x, y) = (at % width, at / width);
            (left, top, right, bottom) = (left.min(x), top.min(y), right.max(x), bottom.max(y));
        }
        Self { pixels, width, left, top, right, bottom }
    }

    fn side(&self) -> f32 {
        let (width, height) = self.size();
        width.max(height)
    }

    fn size(&self) -> (f32, f32) {
        (f(self.right + 1 - self.left), f(self.bottom + 1 - self.top))
    }

    fn mean(&self, of: impl Fn(usize) -> f32) -> f32 {
        self.pixels.iter().map(|at| of(*at)).sum::<f32>() / f(self.pixels.len().max(1))
    }

    /// The mean of a plane of half the size.
    fn over(&self, plane: &Plane) -> f32 {
        self.mean(|at| value(plane, at))
    }

    /// The mean of a plane of full size.
    fn over_full(&self, plane: &Plane) -> f32 {
        self.mean(|at| plane.sample(f(at % self.width) * 2.0 + 0.5, f(at / self.width) * 2.0 + 0.5))
    }

    /// A value of the field's nodes.
    fn node(&self, plane: &Plane, spacing: f32, at: usize) -> f32 {
        let node = |v: usize| (f(v) * 2.0 + 1.0) / spacing - 0.5;
        plane.sample(node(at % self.width), node(at / self.width))
    }

    /// Values of a plane of half the size around the place, as far out as it is large within bounds.
    fn ring(&self, plane: &Plane) -> Vec<f32> {
        let reach = ((self.right - self.left).max(self.bottom - self.top) / 2).clamp(8, 32);
        let rows = self.top.saturating_sub(reach)..(self.bottom + reach + 1).min(plane.height());
        let columns = self.left.saturating_sub(reach)..(self.right + reach + 1).min(plane.width());
        let beside = |x: usize, y: usize| {
            let within = x + 3 > self.left && x < self.right + 3 && y + 3 > self.top && y < self.bottom + 3;
            (!within).then(|| plane.get(x, y))
        };
        rows.flat_map(|y| columns.clone().filter_map(move |x| beside(x, y))).collect()
    }

    fn place(&self, scene: &Scene<'_>, around: &Around, soft: &Plane, bar: f32, crowd: f32) -> Place {
        let (maps, field) = (scene.maps, &scene.found.field);
        let log = |v: f32| (v + 0.3).ln();
        let peak = self.pixels.iter().map(|at| value(soft, *at)).fold(0.0, f32::max);
        let ring = self.ring(soft);
        let bright = self.mean(|at| value(&maps.middle.added, at).max(0.0));
        let dark = self.mean(|at| (-value(&maps.middle.added, at)).max(0.0));
        let steepest = self.pixels.iter().map(|at| self.node(&around.steep, field.spacing, *at)).fold(0.0, f32::max);
        let (width, height) = self.size();
        let sum: f32 = self.pixels.iter().map(|at| value(soft, *at)).sum();
        let went: f32 = self.pixels.iter().map(|at| value(&maps.gone, *at)).sum();
        let (x, y) = (usize::midpoint(self.left, self.right), usize::midpoint(self.top, self.bottom));
        let border = self.left.min(self.top).min(soft.width() - 1 - self.right).min(soft.height() - 1 - self.bottom);
        let scale = |which: usize| log(maps.each.get(which).map_or(0.0, |m| self.over(m)));
        let features = [
            bar.ln(),
            log(self.over(soft)),
            log(peak),
            f(self.pixels.len()).ln(),
            log(quantile(ring.clone(), 0.9)),
            log(quantile(ring, 0.98)),
            log(self.over_full(&maps.fine.before_varies)),
            bright.min(dark) / (bright + dark + 0.5),
            (bright - dark) / (bright + dark + 0.5),
            log(bright + dark),
            self.over_full(scene.after) / 100.0,
            self.over_full(scene.laid) / 100.0,
            steepest.min(1.0),
            self.mean(|at| self.node(&scene.found.agreement, field.spacing, at)),
            self.over(&maps.known),
            (went / sum.max(1.0)).min(2.0),
            scale(0),
            scale(1),
            scale(2),
            f(self.pixels.len()) / (width * height),
            (width.max(height) / width.min(height)).ln(),
            self.side().ln(),
            f(border.min(10)) / 10.0,
            (around.same.get(x, y) + 0.1) / (around.all.get(x, y) + 0.2),
            self.mean(|at| f32::from(u8::from(value_full(scene.laid, at, self.width) < 95.0))),
            crowd,
        ];
        Place {
            left: self.left * 2,
            top: self.top * 2,
            right: self.right * 2 + 2,
            bottom: self.bottom * 2 + 2,
            features,
        }
    }
}

fn value(plane: &Plane, at: usize) -> f32 {
    plane.values().get(at).copied().unwrap_or(0.0)
}

fn value_full(plane: &Plane, at: usize, width: usize) -> f32 {
    plane.sample(f(at % width) * 2.0 + 0.5, f(at / width) * 2.0 + 0.5)
}
