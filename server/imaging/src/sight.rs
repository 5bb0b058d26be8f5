//! What the network is told about each place of AFTER, at half its size.

use crate::change::{Evidence, evidence, lowest, tones};
use crate::judge::Circumstances;
use crate::layers::Rows;
use crate::network::{INPUTS, WHOLE};
use crate::num::{f, size, whole};
use crate::plane::Plane;
use crate::register::Alignment;
use image::RgbImage;

/// A picture as it is compared: brightness, and at half the size red and blue against green.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    pub(crate) luma: Plane,
    red: Plane,
    blue: Plane,
}

impl Seen {
    pub(crate) fn of(image: &RgbImage) -> Self {
        let (red, blue) = against_green(image);
        Self { luma: Plane::luma(image), red, blue }
    }
}

/// Red and blue less green, at half the size.
fn against_green(image: &RgbImage) -> (Plane, Plane) {
    let (width, height) = (size(image.width()) / 2, size(image.height()) / 2);
    let (mut red, mut blue) = (Vec::with_capacity(width * height), Vec::with_capacity(width * height));
    let rows: Vec<&[u8]> = image.as_raw().chunks_exact(3 * size(image.width()).max(1)).collect();
    for pair in rows.chunks_exact(2) {
        let [top, bottom] = pair else { continue };
        for four in top.chunks_exact(6).zip(bottom.chunks_exact(6)) {
            let ([r0, g0, b0, r1, g1, b1], [r2, g2, b2, r3, g3, b3]) = four else { continue };
            let sum = |values: [&u8; 4]| values.into_iter().map(|v| i32::from(*v)).sum::<i32>();
            let green = sum([g0, g1, g2, g3]);
            red.push(whole(sum([r0, r1, r2, r3]) - green) / 4.0);
            blue.push(whole(sum([b0, b1, b2, b3]) - green) / 4.0);
        }
    }
    (Plane::of_values(width, height, red), Plane::of_values(width, height, blue))
}

/// Radius of what counts as surroundings, at half the size.
const SURROUNDINGS: usize = 16;
/// Beyond this a value tells no more.
const MOST: f32 = 4.0;

/// The inputs of the network, in its order, widths and heights filled up with nothing; and what a place is judged by.
pub(crate) fn sight(before: &Seen, after: &Seen, found: &Alignment) -> (Rows, Circumstances) {
    let (width, height) = (after.luma.width() / 2, after.luma.height() / 2);
    let (planes, seen) = told(before, after, found);
    let whole = |length: usize| length.next_multiple_of(WHOLE);
    let (wide, high) = (whole(width), whole(height));
    let rows = Rows::each(INPUTS, wide, high, |y, row| {
        for (line, plane) in row.chunks_exact_mut(wide).zip(&planes).filter(|_| y < height) {
            line.iter_mut().zip(plane.row(y)).for_each(|(to, v)| *to = v.clamp(-MOST, MOST));
        }
    });
    (rows, seen)
}

/// Two pictures laid over each other, before anything is made of it: what the network is fitted on, with damage drawn
/// into it.
#[derive(Clone, Debug)]
pub struct Laid {
    /// Luma of AFTER, and of BEFORE as AFTER saw it.
    pub luma: [Plane; 2],
    /// At half the size, red and blue against green: of AFTER, then of BEFORE.
    pub colours: [Plane; 4],
    /// What the difference of tones has in common over neighbourhoods, at half the size and at a quarter.
    pub light: [Plane; 2],
    /// At half the size: how loosely each place is laid over, and where BEFORE shows it at all.
    pub loose: Plane,
    pub shown: Plane,
    /// Tones that noise makes.
    pub noise: f32,
}

impl Laid {
    pub(crate) fn of(before: &Seen, after: &Seen, found: &Alignment) -> Self {
        let laid = laid_over(before, after, found);
        let (b, a) = rayon::join(|| tones(&laid.luma), || tones(&after.luma));
        let loose = looseness(&after.luma, found);
        let fine = evidence(&b, &a, &loose, 2, None);
        let loose = loose.halved();
        let middle = evidence(&b.halved(), &a.halved(), &loose, 1, Some(coarser(fine.noise)));
        Self {
            luma: [after.luma.clone(), laid.luma],
            colours: [after.red.clone(), after.blue.clone(), laid.red, laid.blue],
            light: [fine.light, middle.light],
            loose,
            shown: shown(&before.luma, &after.luma, found),
            noise: fine.noise,
        }
    }
}

/// What noise makes of tones at half the size.
const fn coarser(noise: f32) -> f32 {
    (noise / 2.0).max(0.3)
}

fn told(before: &Seen, after: &Seen, found: &Alignment) -> (Vec<Plane>, Circumstances) {
    let (laid, (loose, shown)) = rayon::join(
        || laid_over(before, after, found),
        || (looseness(&after.luma, found), shown(&before.luma, &after.luma, found)),
    );
    let (was, is) = rayon::join(|| Sizes::of(&laid.luma), || Sizes::of(&after.luma));
    let fine = evidence(&was.full, &is.full, &loose, 2, None);
    let loose = loose.halved();
    let middle = evidence(&was.half, &is.half, &loose, 1, Some(coarser(fine.noise)));
    let ((mut planes, seen), rest) = rayon::join(
        || {
            let mut planes: Vec<Plane> = is.beside().into_iter().chain(was.beside()).collect();
            let [most, least] = extremes(&fine.added);
            planes.extend([&most, &least].map(|p| p.map(squash)));
            let colour = |seen: &Seen| seen.red.with(&seen.blue, |r, b| (r * r + b * b).sqrt());
            let colour = colour(after).with(&colour(&laid), |a, b| a - b);
            let added = most.with(&least, |m, l| m.max(-l));
            (planes, Circumstances::of(&added, &was.half, colour, shown.clone()))
        },
        || {
            let come = |was: &Plane, is: &Plane| {
                let change = is.with(was, |i, w| i - w);
                change.with(&change.mean(SURROUNDINGS), |c, m| (c - m) / 15.0)
            };
            let mut planes: Vec<Plane> = extremes(&fine.gone).iter().map(|p| p.map(squash)).collect();
            planes.extend([&middle.added, &middle.gone].map(|p| p.map(squash)));
            planes.push(beside_light(&was.half, &is.half, &fine, middle.noise));
            planes.extend([come(&laid.red, &after.red), come(&laid.blue, &after.blue)]);
            planes.extend([&after.red, &after.blue].map(|p| p.map(|v| v / 60.0)));
            planes
        },
    );
    planes.extend(rest);
    planes.push(loose);
    planes.extend([&is.around, &was.around].map(|p| p.map(|v| v / 100.0 - 0.8)));
    planes.push(shown);
    (planes, seen)
}

/// Tones of a picture, of its half, and of what is around each place of the half.
struct Sizes {
    full: Plane,
    half: Plane,
    around: Plane,
}

impl Sizes {
    fn of(luma: &Plane) -> Self {
        let full = tones(luma);
        let half = full.halved();
        let around = half.mean(SURROUNDINGS);
        Self { full, half, around }
    }

    /// How much each quarter of the pixels stands out of what is around.
    fn beside(&self) -> [Plane; 4] {
        quarters(&self.full).map(|q| q.with(&self.around, |v, m| (v - m) / 20.0))
    }
}

/// The most and the least of each four pixels.
fn extremes(strength: &Plane) -> [Plane; 2] {
    let quarters = quarters(strength);
    [picked(&quarters, f32::max), picked(&quarters, f32::min)]
}

fn picked([p, q, r, s]: &[Plane; 4], pick: impl Fn(f32, f32) -> f32) -> Plane {
    p.with(q, &pick).with(r, &pick).with(s, &pick)
}

/// The difference at half the size once light is taken out.
fn beside_light(before: &Plane, after: &Plane, fine: &Evidence, noise: f32) -> Plane {
    let change = after.with(before, |a, b| a - b);
    change.with(&fine.light, |c, l| squash((c - l) / noise))
}

/// Large values are told apart by their size, not by their difference.
fn squash(value: f32) -> f32 {
    (1.0 + value.abs()).ln().copysign(value) / 2.0
}

/// Every second pixel of every second row, beginning at each of the first four.
fn quarters(plane: &Plane) -> [Plane; 4] {
    let (width, height) = (plane.width() / 2, plane.height() / 2);
    [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| {
        let mut data = Vec::with_capacity(width * height);
        for row in plane.rows().skip(dy).step_by(2).take(height) {
            data.extend(row.chunks_exact(2).map(|pair| pair.get(dx).copied().unwrap_or(0.0)));
        }
        Plane::of_values(width, height, data)
    })
}

/// BEFORE as AFTER saw it.
fn laid_over(before: &Seen, after: &Seen, found: &Alignment) -> Seen {
    let (width, height) = (after.luma.width(), after.luma.height());
    let full = |rows: std::ops::Range<usize>| {
        let mut moved = Vec::with_capacity(width);
        let mut data = Vec::with_capacity(width * rows.len());
        for y in rows {
            found.row(f(y), 0.0, 1.0, width, &mut moved);
            data.extend(moved.iter().map(|(u, v)| before.luma.sample(*u, *v)));
        }
        data
    };
    let (mut top, bottom) = rayon::join(|| full(0..height / 2), || full(height / 2..height));
    top.extend(bottom);
    let half = |plane: &Plane| {
        let mut moved = Vec::with_capacity(width / 2);
        let mut data = Vec::with_capacity(width / 2 * (height / 2));
        for y in 0..height / 2 {
            found.row(2.0 * f(y) + 0.5, 0.5, 2.0, width / 2, &mut moved);
            data.extend(moved.iter().map(|(u, v)| plane.sample((u - 0.5) / 2.0, (v - 0.5) / 2.0)));
        }
        Plane::of_values(width / 2, height / 2, data)
    };
    let (red, blue) = rayon::join(|| half(&before.red), || half(&before.blue));
    Seen { luma: Plane::of_values(width, height, top), red, blue }
}

/// Where BEFORE shows AFTER's place at all, with a margin: 1, else less. What it does not show cannot have changed.
fn shown(before: &Plane, after: &Plane, found: &Alignment) -> Plane {
    let (right, bottom) = (f(before.width()) - 3.0, f(before.height()) - 3.0);
    let (width, height) = (after.width() / 2, after.height() / 2);
    let mut moved = Vec::with_capacity(width);
    let mut data = Vec::with_capacity(width * height);
    for y in 0..height {
        found.row(2.0 * f(y) + 0.5, 0.5, 2.0, width, &mut moved);
        let inside = |(u, v): &(f32, f32)| *u >= 2.0 && *v >= 2.0 && *u <= right && *v <= bottom;
        data.extend(moved.iter().map(|at| if inside(at) { 1.0 } else { 0.0 }));
    }
    lowest(&Plane::of_values(width, height, data), 4)
}

/// How loosely each place is laid over, 0 to 1: where one thing stands before another, the field is steep.
fn looseness(after: &Plane, found: &Alignment) -> Plane {
    let steep = found.field.steepness();
    let node = |v: usize| (f(v) + 0.5) / found.field.spacing - 0.5;
    let columns: Vec<f32> = (0..after.width()).map(node).collect();
    Plane::from_fn(after.width(), after.height(), |x, y| {
        (steep.sample(columns.get(x).copied().unwrap_or(0.0), node(y)) * 12.0).min(1.0)
    })
}
