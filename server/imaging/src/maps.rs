//! One map of what changed, out of evidence at three scales.

use crate::change::{Evidence, correlation, evidence, highest, lowest, tone};
use crate::num::f;
use crate::plane::Plane;
use crate::register::Alignment;

/// Where something changed, at half the size of AFTER, in steps of noise.
#[derive(Debug)]
pub(crate) struct Maps {
    /// At full size and at half of it.
    pub(crate) fine: Evidence,
    pub(crate) middle: Evidence,
    /// What each scale tells, from the finest to the coarsest.
    pub(crate) each: Vec<Plane>,
    /// The strongest of them.
    pub(crate) fused: Plane,
    /// The part of it that was there before and is gone.
    pub(crate) gone: Plane,
    /// How well the surroundings correlate, -1 to 1.
    pub(crate) known: Plane,
}

/// Tones between which a change of colour of one material under other light turns into a change of thing.
const LIGHT_ENDS: f32 = 15.0;
const THING_BEGINS: f32 = 45.0;
/// Steps of noise that BEFORE must vary by for its own detail to halve what is made of a difference.
const DETAIL: f32 = 60.0;
/// What is gone counts this much against what came: shadows and reflections go as easily as things.
const GONE: f32 = 0.4;

/// BEFORE as AFTER saw it, 0 beyond its border.
pub(crate) fn laid_over(before: &Plane, after: &Plane, found: &Alignment) -> Plane {
    Plane::from_fn(after.width(), after.height(), |x, y| {
        let (u, v) = found.apply(f(x), f(y));
        before.sample(u, v)
    })
}

/// Puts together what the scales tell.
pub(crate) fn maps(before: &Plane, laid: &Plane, after: &Plane, found: &Alignment) -> Maps {
    let (width, height) = (after.width() / 2, after.height() / 2);
    let shown = shown(before, after, found);
    let loose = looseness(after, found);
    let (mut b, mut a, mut loose) = (laid.map(tone), after.map(tone), loose);
    let fine = evidence(&b, &a, &loose, 2, None);
    let noise = fine.noise;
    let known = correlation(&b.halved(), &a.halved(), 4, noise * 0.6);
    let scale = |e: &Evidence, new: &Plane, coarse: bool| {
        let fit = |p: &Plane| if coarse { p.scaled(width, height) } else { p.clone() };
        let of = |strength: &Plane| {
            let told = strength.with(new, |s, n| {
                let thing = (s.abs() * e.noise - LIGHT_ENDS) / (THING_BEGINS - LIGHT_ENDS);
                s.abs() * n.max(thing.clamp(0.0, 1.0))
            });
            if coarse { two_sided(strength, &told) } else { told }
        };
        (fit(&of(&e.added)), fit(&of(&e.gone)), fit(&e.before_varies))
    };
    let unlike = |correlation: &Plane| correlation.map(|r| (1.0 - r.max(0.0) * 1.1).max(0.0));
    let mut told = Vec::new();
    let (came, went, varies) = scale(&fine, &unlike(&known).scaled(a.width(), a.height()), false);
    let half = |p: &Plane| highest(p, 1).scaled(width, height);
    told.push((half(&came), half(&went), varies.halved()));
    (b, a, loose) = (b.halved(), a.halved(), loose.halved());
    let middle = evidence(&b, &a, &loose, 1, Some((noise / 2.0).max(0.3)));
    told.push(scale(&middle, &unlike(&known), false));
    (b, a, loose) = (b.halved(), a.halved(), loose.halved());
    let coarse = evidence(&b, &a, &loose, 1, Some((noise / 4.0).max(0.3)));
    told.push(scale(&coarse, &unlike(&correlation(&b, &a, 4, coarse.noise)), true));

    let (mut fused, mut gone) = (Plane::flat(width, height, 0.0), Plane::flat(width, height, 0.0));
    let mut each = Vec::new();
    for (came, went, varies) in told {
        let weigh = |p: &Plane| {
            let plain = p.with(&varies, |p, v| p / (1.0 + v / DETAIL));
            plain.with(&shown, |p, s| if s < 1.0 { 0.0 } else { p })
        };
        let (came, went) = (weigh(&came), weigh(&went));
        let either = came.with(&went, |c, w| c.max(GONE * w));
        fused = fused.with(&either, f32::max);
        gone = gone.with(&went, f32::max);
        each.push(either);
    }
    Maps { fine, middle, each, fused, gone, known }
}

/// Where BEFORE shows AFTER's place at all, with a margin: 1, else less. What it does not show cannot have changed.
fn shown(before: &Plane, after: &Plane, found: &Alignment) -> Plane {
    let (right, bottom) = (f(before.width()) - 3.0, f(before.height()) - 3.0);
    let inside = Plane::from_fn(after.width(), after.height(), |x, y| {
        let (u, v) = found.apply(f(x), f(y));
        if u >= 2.0 && v >= 2.0 && u <= right && v <= bottom { 1.0 } else { 0.0 }
    });
    lowest(&inside, 8).halved()
}

/// How loosely each place is laid over, 0 to 1: where one thing stands before another, the field is steep.
fn looseness(after: &Plane, found: &Alignment) -> Plane {
    let steep = found.field.steepness();
    let node = |v: usize| (f(v) + 0.5) / found.field.spacing - 0.5;
    Plane::from_fn(after.width(), after.height(), |x, y| (steep.sample(node(x), node(y)) * 12.0).min(1.0))
}

/// At a coarse scale only what is brighter and darker side by side: a dent is both, a shadow or a shine only one.
fn two_sided(strength: &Plane, told: &Plane) -> Plane {
    let up = highest(&strength.map(|v| v.max(0.0)), 4);
    let down = highest(&strength.map(|v| (-v).max(0.0)), 4);
    told.with(&up.with(&down, f32::min), f32::min)
}
