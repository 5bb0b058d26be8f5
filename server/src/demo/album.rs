//! A photograph of its own for each use of a picture: vehicles of one layout share a picture, never a photograph.
//!
//! The first use takes the picture as it is. Each further one is framed a little closer, lit a little differently and
//! stored anew, by numbers drawn from the picture's name, until it looks like none that was taken before.

use super::pictures;
use crate::app::Refusal;
use handsel_domain::exact::Exact;
use handsel_domain::ids::InspectionId;
use handsel_imaging::{Encoding, Fingerprint, Limits, RgbImage, encode, fingerprint, smaller, upright};
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// A photograph as somebody of the demonstration took it.
#[derive(Clone)]
pub(super) struct Shot {
    pub(super) bytes: Vec<u8>,
    frame: Frame,
}

impl Shot {
    /// Where a place of the picture, in hundredths, is on this photograph, to the ten-thousandth.
    pub(super) fn place(&self, (x, y): (i64, i64)) -> (Exact, Exact) {
        let Frame { left, top, width, height, of } = self.frame;
        (along(x, left, width, of.0), along(y, top, height, of.1))
    }
}

fn along(hundredths: i64, from: u32, length: u32, of: u32) -> Exact {
    let pixel = i128::from(hundredths) * i128::from(of) * 100 - i128::from(from) * 10_000;
    Exact::scaled((pixel / i128::from(length.max(1))).clamp(0, 10_000), 4)
}

/// The part of a picture that a photograph shows, in pixels.
#[derive(Clone, Copy)]
struct Frame {
    left: u32,
    top: u32,
    width: u32,
    height: u32,
    of: (u32, u32),
}

impl Frame {
    fn whole(picture: &RgbImage) -> Self {
        let of = picture.dimensions();
        Self { left: 0, top: 0, width: of.0, height: of.1, of }
    }

    const fn is_whole(self) -> bool {
        self.width == self.of.0 && self.height == self.of.1
    }

    /// The same part of a picture of twice the size.
    fn doubled(self, picture: &RgbImage) -> Self {
        Self {
            left: self.left * 2,
            top: self.top * 2,
            width: self.width * 2,
            height: self.height * 2,
            of: picture.dimensions(),
        }
    }
}

/// Everything photographed so far.
#[derive(Default)]
pub(super) struct Album(Mutex<Taken>);

#[derive(Default)]
struct Taken {
    pictures: BTreeMap<&'static str, Picture>,
    prints: Vec<Fingerprint>,
    /// Whose walk-round it is, what is to be seen, from where, and how often it was taken from there.
    standing: BTreeMap<(InspectionId, &'static str), (Frame, u64)>,
}

/// A picture, and its copy of half the size in which framings are tried.
struct Picture {
    whole: RgbImage,
    half: RgbImage,
}

/// Framings tried before a picture is taken to be used up.
const TRIES: u64 = 400;
/// Bits by which storing a photograph may move its fingerprint.
const SLACK: u32 = 2;

impl Album {
    /// Takes a photograph of what a picture shows. Who takes several on one walk-round stays where they stand.
    pub(super) fn take(&self, walk: InspectionId, name: &str) -> Result<Shot, Refusal> {
        let (name, bytes) = pictures::named(name)
            .ok_or_else(|| Refusal::internal(format!("the demonstration has no picture {name}")))?;
        let mut taken = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Taken { pictures, prints, standing } = &mut *taken;
        if !pictures.contains_key(name) {
            let whole = upright(bytes, &Limits::default(), u32::MAX).map_err(Refusal::internal)?;
            let half = whole.width().max(whole.height()) / 2;
            let half = smaller(whole.clone(), half).map_err(Refusal::internal)?;
            pictures.insert(name, Picture { whole, half });
        }
        let picture = pictures.get(name).ok_or_else(|| Refusal::internal("the picture that was just opened"))?;
        let (frame, times) = match standing.get(&(walk, name)) {
            Some((frame, times)) => (*frame, times + 1),
            None => (unlike(name, picture, prints)?, 0),
        };
        standing.insert((walk, name), (frame, times));
        if frame.is_whole() && times == 0 {
            return Ok(Shot { bytes: bytes.to_vec(), frame });
        }
        let image = lit(name, picture, frame, times)?;
        Ok(Shot { bytes: encode(&image, Encoding::Jpeg).map_err(Refusal::internal)?, frame })
    }
}

/// What a frame shows, in the light of one moment.
fn lit(name: &str, picture: &Picture, frame: Frame, times: u64) -> Result<RgbImage, Refusal> {
    let mut image = cut(&picture.whole, frame)?;
    if !frame.is_whole() || times > 0 {
        let place = u64::from(frame.left) << 32 | u64::from(frame.top) << 16 | times;
        Draws::of(name, place).light(&mut image);
    }
    Ok(image)
}

/// A framing of a picture that looks like none before it. Tried in the small, and made sure of at full size.
fn unlike(name: &str, picture: &Picture, prints: &mut Vec<Fingerprint>) -> Result<Frame, Refusal> {
    let differs = |print, prints: &[Fingerprint], slack| prints.iter().all(|p| !alike(*p, print, slack));
    for attempt in 0..TRIES {
        let frame = Draws::of(name, attempt).frame(&picture.half, attempt);
        if !differs(fingerprint(&cut(&picture.half, frame)?), prints, 1) {
            continue;
        }
        let frame = if attempt == 0 { Frame::whole(&picture.whole) } else { frame.doubled(&picture.whole) };
        let print = fingerprint(&lit(name, picture, frame, 0)?);
        if differs(print, prints, SLACK) {
            prints.push(print);
            return Ok(frame);
        }
    }
    Err(Refusal::internal(format!("every framing of {name} looks like one before it")))
}

fn alike(one: Fingerprint, other: Fingerprint, slack: u32) -> bool {
    let (frequencies, gradients) = one.distance(other);
    frequencies.max(gradients) <= Fingerprint::SAME + slack
}

fn cut(picture: &RgbImage, frame: Frame) -> Result<RgbImage, Refusal> {
    let row = |pixels: u32| usize::try_from(pixels).unwrap_or(usize::MAX).saturating_mul(3);
    let (skip, take) = (row(frame.left), row(frame.width));
    let rows = picture.as_raw().chunks_exact(row(frame.of.0).max(1));
    let rows = rows.skip(row(frame.top) / 3).take(row(frame.height) / 3);
    let pixels: Vec<u8> = rows.filter_map(|r| r.get(skip..)?.get(..take)).flatten().copied().collect();
    RgbImage::from_raw(frame.width, frame.height, pixels)
        .ok_or_else(|| Refusal::internal("a frame that reaches out of its picture"))
}

/// Numbers that come the same way in every demonstration.
struct Draws(u64);

impl Draws {
    fn of(name: &str, attempt: u64) -> Self {
        let named =
            name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100_0000_01b3));
        Self(named ^ attempt.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    /// One of the numbers below a bound.
    fn below(&mut self, bound: u32) -> u32 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        u32::try_from((mixed ^ (mixed >> 31)) % u64::from(bound.max(1))).unwrap_or(0)
    }

    /// All of the picture at first; afterwards 3 to 9 % less of it (more where that is used up), off to one side or the
    /// other.
    fn frame(&mut self, picture: &RgbImage, attempt: u64) -> Frame {
        let of = picture.dimensions();
        let wider = u32::try_from(attempt / 4).unwrap_or(0).min(60);
        let thousandths = if attempt == 0 { 0 } else { 30 + self.below(61 + wider) };
        let less = |edge: u32| edge * thousandths / 1_000;
        let (width, height) = (of.0 - less(of.0), of.1 - less(of.1));
        let (left, top) = (self.below(of.0 - width + 1), self.below(of.1 - height + 1));
        Frame { left, top, width, height, of }
    }

    /// Up to 4 % brighter or darker, and each colour up to 2 % off.
    fn light(&mut self, image: &mut RgbImage) {
        let all = 960 + self.below(81);
        let [red, green, blue] = [(); 3].map(|()| {
            let gain = all * (980 + self.below(41));
            let level = |v: u8| u8::try_from((u32::from(v) * gain + 500_000) / 1_000_000).unwrap_or(u8::MAX);
            (0..=u8::MAX).map(level).collect::<Vec<u8>>()
        });
        let turn = |table: &[u8], v: &mut u8| *v = table.get(usize::from(*v)).copied().unwrap_or(*v);
        for pixel in image.chunks_exact_mut(3) {
            if let [r, g, b] = pixel {
                turn(&red, r);
                turn(&green, g);
                turn(&blue, b);
            }
        }
    }
}

#[cfg(test)]
#[expect(clippy::as_conversions, reason = "places in small test pictures")]
mod tests {
    use super::{Album, Shot};
    use handsel_domain::exact::Exact;
    use handsel_domain::ids::InspectionId;
    use handsel_imaging::{Fingerprint, Limits, fingerprint, upright};

    fn walk(n: u128) -> InspectionId {
        InspectionId(uuid::Uuid::from_u128(n))
    }

    fn print(shot: &Shot) -> Fingerprint {
        fingerprint(&upright(&shot.bytes, &Limits::default(), 1_024).unwrap())
    }

    #[test]
    fn no_two_photographs_of_one_picture_look_the_same() {
        let (album, again) = (Album::default(), Album::default());
        let mut prints: Vec<Fingerprint> = Vec::new();
        for name in ["coachbuilt-rear-out", "coachbuilt-rear-back", "cab_dash-out", "kitchen-out"] {
            for n in 0..15 {
                let shot = album.take(walk(n), name).unwrap();
                assert!(
                    again.take(walk(n), name).unwrap().bytes == shot.bytes,
                    "another demonstration shows another picture"
                );
                let print = print(&shot);
                assert!(!prints.iter().any(|p| p.same(print)), "{name} is there twice");
                prints.push(print);
                let more = album.take(walk(n), name).unwrap();
                assert!(more.bytes != shot.bytes, "one photograph is used twice on a walk-round");
                again.take(walk(n), name).unwrap();
            }
        }
    }

    #[test]
    fn places_move_with_the_frame() {
        let album = Album::default();
        let whole = album.take(walk(0), "coachbuilt-nearside_rear-out").unwrap();
        assert_eq!(whole.place((63, 57)), (Exact::scaled(63, 2), Exact::scaled(57, 2)));
        for n in 1..6 {
            let shot = album.take(walk(n), "coachbuilt-nearside_rear-out").unwrap();
            let (x, y) = shot.place((63, 57));
            let picture = upright(&whole.bytes, &Limits::default(), 2_000).unwrap();
            let image = upright(&shot.bytes, &Limits::default(), 2_000).unwrap();
            assert!(image.width() < picture.width());
            // The pixels there are those of the picture, but for the light.
            let at = |image: &handsel_imaging::RgbImage, x: f64, y: f64| {
                let (w, h) = (f64::from(image.width()), f64::from(image.height()));
                let mut sum = 0.0;
                for (dx, dy) in (-6..=6).flat_map(|dx| (-6..=6).map(move |dy| (dx, dy))) {
                    let (px, py) = ((x * w) as i64 + dx, (y * h) as i64 + dy);
                    let [r, g, b] = image.get_pixel(px as u32, py as u32).0;
                    sum += f64::from(r) + f64::from(g) + f64::from(b);
                }
                sum / (13.0 * 13.0 * 3.0)
            };
            let (then, now) = (at(&picture, 0.63, 0.57), at(&image, x.approx(), y.approx()));
            assert!((then - now).abs() < 0.07 * then, "{then} became {now}");
        }
    }
}
