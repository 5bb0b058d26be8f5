//! Places of AFTER worth a look: a few, each with a score, and none where the pictures cannot tell. A pointer for a
//! person: it never says what something is, and it never makes a charge.

use crate::closer::{Closer, Looked, bytes, square};
use crate::judge::{Circumstances, FIGURES, figures, judged};
use crate::network::Network;
use crate::num::{byte, d, edge, single};
use crate::places::{Place, places};
use crate::plane::Plane;
use crate::register::{Alignment, register};
use crate::sight::{Laid, Seen, sight};
use image::{Rgb, RgbImage};

/// Long edge that pictures are compared at.
pub const WORKING_EDGE: u32 = 1024;
/// Most places pointed at: a person looks at all of a few, and at none of many.
const MOST: usize = 4;
/// Least score of a place pointed at by itself, and of a further one beside it: who scrapes a vehicle seldom leaves a
/// single mark. On pairs that the networks were not fitted on, five of six clean ones then had none.
const LEAST: f32 = 0.52;
const FURTHER: f32 = 0.16;
/// Least score by the network of a place that is judged, and most of them.
const PROPOSED: f32 = 0.12;
const MOST_PROPOSED: usize = 20;

/// A mark that is known from before, by the shares of BEFORE's width and height it lies at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
}

/// A place worth a look, in pixels of AFTER.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Region {
    pub x: u32,
    pub y: u32,
    pub w: u32,
    pub h: u32,
    /// 0 to 1, higher for what is likelier to be worth it. No probability of damage.
    pub score: f64,
}

/// How two photographs compare.
#[derive(Clone, Debug)]
pub enum Pointing {
    Aligned(Box<Aligned>),
    /// They cannot be laid over each other: nothing is told, rather than guessed.
    NotAligned,
}

/// Two photographs that can be laid over each other.
#[derive(Clone, Debug)]
pub struct Aligned {
    /// The likeliest first.
    pub regions: Vec<Region>,
    pub warp: Warp,
}

/// Where each place of AFTER is in BEFORE.
#[derive(Clone, Debug)]
pub struct Warp {
    found: Alignment,
    /// Sizes of the copies that were laid over each other.
    before: (usize, usize),
    after: (usize, usize),
}

impl Warp {
    /// Where a place of AFTER is in BEFORE, each by the share of its width and height.
    #[must_use]
    pub fn place(&self, x: f64, y: f64) -> (f64, f64) {
        let at = |share: f64, length: usize| single(share * d(length) - 0.5);
        let (u, v) = self.found.apply(at(x, self.after.0), at(y, self.after.1));
        ((f64::from(u) + 0.5) / d(self.before.0), (f64::from(v) + 0.5) / d(self.before.1))
    }

    /// BEFORE as AFTER saw it, in a size of AFTER's shape; grey where BEFORE does not reach.
    #[must_use]
    pub fn apply(&self, before: &RgbImage, width: u32, height: u32) -> RgbImage {
        let planes = [0, 1, 2].map(|c| Plane::channel(before, c));
        let (across, down) = (f64::from(before.width()), f64::from(before.height()));
        RgbImage::from_fn(width, height, |x, y| {
            let share = |place: u32, length: u32| (f64::from(place) + 0.5) / f64::from(length);
            let (u, v) = self.place(share(x, width), share(y, height));
            if !(0.0..=1.0).contains(&u) || !(0.0..=1.0).contains(&v) {
                return Rgb([128; 3]);
            }
            let (u, v) = (single(u * across - 0.5), single(v * down - 0.5));
            Rgb(planes.each_ref().map(|p| byte(p.sample(u, v))))
        })
    }
}

/// Compares two upright photographs of one viewpoint; `known` are marks that BEFORE shows already.
#[must_use]
pub fn point(before: &RgbImage, after: &RgbImage, known: &[Known]) -> Pointing {
    let Some(compared) = Compared::of(before, after) else { return Pointing::NotAligned };
    let mut unknown = compared.places();
    unknown.retain(|place| !compared.is_known(place, known));
    let kept = worth_a_look(unknown);
    let across = f64::from(after.width()) / d(compared.warp.after.0);
    let down = f64::from(after.height()) / d(compared.warp.after.1);
    let regions = kept.iter().map(|place| region(place, (across, down), after));
    Pointing::Aligned(Box::new(Aligned { regions: regions.collect(), warp: compared.warp }))
}

/// The two laid over each other, for fitting; nothing where they cannot be.
#[must_use]
pub fn laid(before: &RgbImage, after: &RgbImage) -> Option<Laid> {
    let compared = Compared::of(before, after)?;
    Some(Laid::of(&compared.before, &compared.after, &compared.warp.found))
}

/// A place that the network proposes, for fitting.
#[derive(Clone, Debug)]
pub struct Candidate {
    pub region: Region,
    /// What it is judged by.
    pub figures: [f32; FIGURES],
    /// What the closer look sees, a little more of it to each side: rows of channels of places, each a byte.
    pub square: Vec<u8>,
}

/// Places along the side of a candidate's square.
pub const CANDIDATE_SIDE: usize = crate::closer::SIDE + 8;

/// Places that the network proposes, of which few are pointed at: for fitting. Nothing where the two cannot be laid
/// over each other.
#[must_use]
pub fn proposed(before: &RgbImage, after: &RgbImage) -> Option<Vec<Candidate>> {
    let compared = Compared::of(before, after)?;
    let across = f64::from(after.width()) / d(compared.warp.after.0);
    let down = f64::from(after.height()) / d(compared.warp.after.1);
    let proposed = compared.proposed();
    let figures = proposed.figures();
    let candidates = proposed.places.iter().zip(figures).map(|(place, figures)| Candidate {
        region: region(place, (across, down), after),
        figures,
        square: bytes(&square(&proposed.looked, place, CANDIDATE_SIDE)),
    });
    Some(candidates.collect())
}

fn region(place: &Place, (across, down): (f64, f64), after: &RgbImage) -> Region {
    let scaled = |value: usize, by: f64| edge(crate::num::count(single(d(value) * by)));
    let (x, y) = (scaled(place.left, across), scaled(place.top, down));
    let (right, bottom) = (scaled(place.right, across), scaled(place.bottom, down));
    Region { x, y, w: right.min(after.width()) - x, h: bottom.min(after.height()) - y, score: f64::from(place.score) }
}

/// Places that the network proposes, and what each is judged by.
struct Proposed {
    places: Vec<Place>,
    seen: Circumstances,
    looked: Looked,
}

impl Proposed {
    fn figures(&self) -> Vec<[f32; FIGURES]> {
        let closer = Closer::fitted().look(&self.looked, &self.places);
        figures(&self.places, &self.seen, &closer)
    }
}

/// Of judged places, the likeliest first, those to point at: none unless one is likely enough by itself, then also those
/// that one beside them makes likelier.
fn worth_a_look(mut judged: Vec<Place>) -> Vec<Place> {
    let any = judged.first().is_some_and(|place| place.score >= LEAST);
    judged.retain(|place| any && place.score >= FURTHER);
    judged.truncate(MOST);
    judged
}

struct Compared {
    before: Seen,
    after: Seen,
    warp: Warp,
}

impl Compared {
    fn of(before: &RgbImage, after: &RgbImage) -> Option<Self> {
        let (before, after) = rayon::join(|| working(before), || working(after));
        let found = register(&before.luma, &after.luma)?;
        let sizes = |seen: &Seen| (seen.luma.width(), seen.luma.height());
        let warp = Warp { found, before: sizes(&before), after: sizes(&after) };
        Some(Self { before, after, warp })
    }

    fn proposed(&self) -> Proposed {
        let (told, seen) = sight(&self.before, &self.after, &self.warp.found);
        let (saw, said) = Network::fitted().look(&told);
        let mut places = places(&said, PROPOSED, self.warp.after);
        places.retain(|place| seen.shows(place));
        places.truncate(MOST_PROPOSED);
        Proposed { places, seen, looked: Looked { told, saw, said } }
    }

    /// All that the network proposes, the likeliest first.
    fn places(&self) -> Vec<Place> {
        let proposed = self.proposed();
        let figures = proposed.figures();
        judged(proposed.places, &figures)
    }

    /// Whether a mark that is known lies there.
    fn is_known(&self, place: &Place, known: &[Known]) -> bool {
        let share = |value: usize, length: usize| d(value) / d(length);
        let middle = |a: usize, b: usize, length: usize| (share(a, length) + share(b, length)) / 2.0;
        let (width, height) = self.warp.after;
        let at = (middle(place.left, place.right, width), middle(place.top, place.bottom, height));
        let (u, v) = self.warp.place(at.0, at.1);
        // Half of the place's own size more: its outline is not the mark's.
        let (w, h) = (share(place.right - place.left, width) / 2.0, share(place.bottom - place.top, height) / 2.0);
        known.iter().any(|k| {
            let across = (k.x - w..=k.x + k.w + w).contains(&u);
            across && (k.y - h..=k.y + k.h + h).contains(&v)
        })
    }
}

fn working(image: &RgbImage) -> Seen {
    let longest = image.width().max(image.height());
    if longest <= WORKING_EDGE {
        return Seen::of(image);
    }
    let scaled = |edge: u32| {
        let edge = u64::from(edge) * u64::from(WORKING_EDGE) / u64::from(longest);
        u32::try_from(edge).unwrap_or(WORKING_EDGE).max(1)
    };
    Seen::of(&image::imageops::thumbnail(image, scaled(image.width()), scaled(image.height())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_likely_place_brings_those_that_alone_are_not_pointed_at() {
        let judged = |scores: &[f32]| {
            let place = |score: &f32| Place { left: 10, top: 10, right: 20, bottom: 20, score: *score };
            worth_a_look(scores.iter().map(place).collect()).iter().map(|p| p.score).collect::<Vec<_>>()
        };
        assert_eq!(judged(&[0.9, FURTHER + 0.01, FURTHER - 0.01]), [0.9, FURTHER + 0.01]);
        assert_eq!(judged(&[LEAST - 0.01, FURTHER + 0.01]), [0.0; 0]);
        assert_eq!(judged(&[0.9; MOST + 3]).len(), MOST);
        assert_eq!(judged(&[]), [0.0; 0]);
    }
}
