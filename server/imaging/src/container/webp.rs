//! WebP: RIFF chunks by their lengths.

use super::read::{le16, le32, span};
use super::{Beside, Format, Found, check_size, orientation};
use crate::{IngestError, Limits};
use image::metadata::Orientation;

const CUT: IngestError = IngestError::Truncated { what: "the WebP is shorter than its header says" };

pub(super) fn walk(bytes: &[u8], limits: &Limits) -> Result<Found, IngestError> {
    let end = span(bytes, 8, le32(bytes, 4).ok_or(CUT)?).ok_or(CUT)?.end;
    let bytes = bytes.get(..end).ok_or(CUT)?;
    let mut walk =
        Walk { promised: None, picture: None, orientation: None, profile: None, beside: Beside::new(limits) };
    let mut at = 12;
    while at < end {
        let kind = bytes.get(at..at + 4).ok_or(CUT)?;
        let place = span(bytes, at + 8, le32(bytes, at + 4).ok_or(CUT)?).ok_or(CUT)?;
        let next = place.end + place.len() % 2;
        walk.chunk(kind, bytes.get(place).ok_or(CUT)?, at, limits)?;
        at = next;
    }
    let Some((width, height)) = walk.picture else {
        return Err(IngestError::damaged("the WebP ends without a picture in it"));
    };
    if let Some(promised) = walk.promised.filter(|p| *p != (width, height)) {
        return Err(IngestError::damaged(format!(
            "the WebP promises {} x {} pixels and holds {width} x {height}",
            promised.0, promised.1
        )));
    }
    Ok(Found {
        format: Format::WebP,
        width,
        height,
        end,
        orientation: walk.orientation.unwrap_or(Orientation::NoTransforms),
        profile: walk.profile,
        // The planes or words it decodes to, and the pixels made of them.
        memory: u64::from(width) * u64::from(height) * 8,
        grey: false,
    })
}

struct Walk {
    promised: Option<(u32, u32)>,
    picture: Option<(u32, u32)>,
    orientation: Option<Orientation>,
    profile: Option<Vec<u8>>,
    beside: Beside,
}

impl Walk {
    fn chunk(&mut self, kind: &[u8], content: &[u8], at: usize, limits: &Limits) -> Result<(), IngestError> {
        match kind {
            b"VP8X" => {
                let flags = *content.first().ok_or(CUT)?;
                if flags & 2 != 0 {
                    return Err(IngestError::Animated);
                }
                let size = (three(content, 4).ok_or(CUT)? + 1, three(content, 7).ok_or(CUT)? + 1);
                check_size(size.0, size.1, limits)?;
                self.promised = Some(size);
            }
            b"ANIM" | b"ANMF" => return Err(IngestError::Animated),
            b"VP8 " => self.frame(lossy(content)?, at, limits)?,
            b"VP8L" => self.frame(lossless(content)?, at, limits)?,
            b"ALPH" => {}
            _ => {
                self.beside.add(content, at)?;
                match kind {
                    b"EXIF" => self.orientation = Some(orientation(content)),
                    b"ICCP" => self.profile = Some(content.to_vec()),
                    _ => {}
                }
            }
        }
        Ok(())
    }

    fn frame(&mut self, (width, height): (u32, u32), at: usize, limits: &Limits) -> Result<(), IngestError> {
        check_size(width, height, limits)?;
        match self.picture.replace((width, height)) {
            None => Ok(()),
            Some(_) => Err(IngestError::damaged(format!("a second picture stands at byte {at}"))),
        }
    }
}

fn three(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from(le16(bytes, at)?) | u32::from(*bytes.get(at + 2)?) << 16)
}

fn lossy(content: &[u8]) -> Result<(u32, u32), IngestError> {
    if content.get(3..6).ok_or(CUT)? != [0x9D, 0x01, 0x2A] {
        return Err(IngestError::damaged("the WebP's picture does not begin as one"));
    }
    // The upper two bits ask for scaling by whoever shows it.
    let size = |at| le16(content, at).map(|v| u32::from(v & 0x3FFF)).ok_or(CUT);
    Ok((size(6)?, size(8)?))
}

fn lossless(content: &[u8]) -> Result<(u32, u32), IngestError> {
    if *content.first().ok_or(CUT)? != 0x2F {
        return Err(IngestError::damaged("the WebP's picture does not begin as one"));
    }
    let bits = le32(content, 1).ok_or(CUT)?;
    Ok(((bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1))
}
