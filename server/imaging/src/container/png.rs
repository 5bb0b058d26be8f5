//! PNG: chunks by their lengths. What is packed is unpacked once, counted and thrown away, before it is decoded.

use super::read::{be32, span};
use super::{Beside, Format, Found, check_size, orientation};
use crate::{IngestError, Limits};
use flate2::{Decompress, FlushDecompress, Status};
use image::metadata::Orientation;
use memchr::memchr;

/// Bytes behind the last row that some writers leave.
const SLACK: u64 = 64 * 1024;

const CUT: IngestError = IngestError::Truncated { what: "the PNG has no end" };

#[derive(Clone, Copy, Debug)]
struct Header {
    width: u32,
    height: u32,
    depth: u8,
    colour: u8,
    interlaced: bool,
}

pub(super) fn walk(bytes: &[u8], limits: &Limits) -> Result<Found, IngestError> {
    let header = header(bytes)?;
    check_size(header.width, header.height, limits)?;
    let mut walk = Walk {
        limits,
        pixels: Unpacked::new("its picture", header.unpacked().saturating_add(SLACK)),
        beside: Beside::new(limits),
        orientation: Orientation::NoTransforms,
        profile: None,
        transparent: matches!(header.colour, 4 | 6),
    };
    let mut at = 8;
    loop {
        let length = be32(bytes, at).ok_or(CUT)?;
        let kind = bytes.get(at + 4..at + 8).ok_or(CUT)?;
        if !kind.iter().all(u8::is_ascii_alphabetic) {
            return Err(IngestError::damaged(format!("no part of the PNG begins at byte {at}, where one should")));
        }
        let place = span(bytes, at + 8, length).ok_or(CUT)?;
        let next = place.end.checked_add(4).filter(|next| *next <= bytes.len()).ok_or(CUT)?;
        if kind == b"IEND" {
            at = next;
            break;
        }
        walk.chunk(kind, bytes.get(place).ok_or(CUT)?, at)?;
        at = next;
    }
    if !walk.pixels.begun {
        return Err(IngestError::damaged("the PNG ends without a picture in it"));
    }
    walk.pixels.must_have_ended()?;
    let pixels = u64::from(header.width) * u64::from(header.height);
    Ok(Found {
        format: Format::Png,
        width: header.width,
        height: header.height,
        end: at,
        orientation: walk.orientation,
        profile: walk.profile,
        // Grey is widened into a second buffer; everything else is narrowed where it stands.
        memory: pixels.saturating_mul(if matches!(header.colour, 0 | 4) { 5 } else { 4 }),
        grey: matches!(header.colour, 0 | 4),
    })
}

fn header(bytes: &[u8]) -> Result<Header, IngestError> {
    if bytes.get(12..16).ok_or(CUT)? != b"IHDR" || be32(bytes, 8) != Some(13) {
        return Err(IngestError::damaged("the PNG does not begin with its header"));
    }
    let (width, height) = (be32(bytes, 16).ok_or(CUT)?, be32(bytes, 20).ok_or(CUT)?);
    let rest = bytes.get(24..29).ok_or(CUT)?;
    let [depth, colour, packing, filter, interlace] = rest.try_into().map_err(|_| CUT)?;
    let known = match colour {
        0 => matches!(depth, 1 | 2 | 4 | 8 | 16),
        3 => matches!(depth, 1 | 2 | 4 | 8),
        2 | 4 | 6 => matches!(depth, 8 | 16),
        _ => false,
    };
    if !known || packing != 0 || filter != 0 || interlace > 1 {
        return Err(IngestError::damaged(format!("the PNG's header names a colour type {colour} with {depth} bits")));
    }
    Ok(Header { width, height, depth, colour, interlaced: interlace == 1 })
}

impl Header {
    /// What the picture unpacks to: each row with one byte for its filter.
    fn unpacked(self) -> u64 {
        let channels = match self.colour {
            2 => 3,
            4 => 2,
            6 => 4,
            _ => 1,
        };
        let rows = |width: u32, height: u32| {
            let bits = u64::from(width) * channels * u64::from(self.depth);
            if width == 0 { 0 } else { (bits.div_ceil(8) + 1) * u64::from(height) }
        };
        if !self.interlaced {
            return rows(self.width, self.height);
        }
        let pass = |x: u32, y: u32, dx: u32, dy: u32| {
            rows(self.width.saturating_sub(x).div_ceil(dx), self.height.saturating_sub(y).div_ceil(dy))
        };
        pass(0, 0, 8, 8)
            + pass(4, 0, 8, 8)
            + pass(0, 4, 4, 8)
            + pass(2, 0, 4, 4)
            + pass(0, 2, 2, 4)
            + pass(1, 0, 2, 2)
            + pass(0, 1, 1, 2)
    }
}

struct Walk<'a> {
    limits: &'a Limits,
    pixels: Unpacked,
    beside: Beside,
    orientation: Orientation,
    profile: Option<Vec<u8>>,
    transparent: bool,
}

impl Walk<'_> {
    fn chunk(&mut self, kind: &[u8], content: &[u8], at: usize) -> Result<(), IngestError> {
        match kind {
            b"IDAT" => self.pixels.feed(content, None),
            b"IHDR" | b"PLTE" => Ok(()),
            b"tRNS" => {
                self.transparent = true;
                Ok(())
            }
            b"acTL" | b"fcTL" | b"fdAT" => Err(IngestError::Animated),
            _ => {
                self.beside.add(content, at)?;
                match kind {
                    b"eXIf" => {
                        self.orientation = orientation(content);
                        Ok(())
                    }
                    b"iCCP" => self.packed(content, 2, "its colour profile").map(|profile| self.profile = profile),
                    b"zTXt" => self.packed(content, 2, "a text in it").map(|_| ()),
                    // Keyword, nothing, whether packed, how, language, nothing, keyword again, nothing.
                    b"iTXt" => self.international(content),
                    _ => Ok(()),
                }
            }
        }
    }

    /// Unpacks what follows a keyword and some bytes.
    fn packed(&self, content: &[u8], after_keyword: usize, what: &'static str) -> Result<Option<Vec<u8>>, IngestError> {
        let Some(data) = memchr(0, content).and_then(|end| content.get(end + after_keyword..)) else {
            return Ok(None);
        };
        let limit = u64::try_from(self.limits.metadata).unwrap_or(u64::MAX);
        let mut kept = Vec::new();
        let mut unpacked = Unpacked::new(what, limit);
        // What cannot be unpacked says nothing of the picture, and is served to nobody who looks at it.
        match unpacked.feed(data, Some(&mut kept)) {
            Err(bomb @ IngestError::Inflates { .. }) => Err(bomb),
            Err(_) => Ok(None),
            Ok(()) => Ok(unpacked.ended.then_some(kept)),
        }
    }

    fn international(&self, content: &[u8]) -> Result<(), IngestError> {
        let Some(keyword) = memchr(0, content) else { return Ok(()) };
        if content.get(keyword + 1) != Some(&1) {
            return Ok(());
        }
        let rest = content.get(keyword + 3..).unwrap_or_default();
        let language = memchr(0, rest).and_then(|end| rest.get(end..)).unwrap_or_default();
        self.packed(language.get(1..).unwrap_or_default(), 1, "a text in it").map(|_| ())
    }
}

/// Unpacks without keeping more than is wanted, up to a limit.
struct Unpacked {
    what: &'static str,
    limit: u64,
    begun: bool,
    ended: bool,
    inflate: Decompress,
}

impl Unpacked {
    fn new(what: &'static str, limit: u64) -> Self {
        Self { what, limit, begun: false, ended: false, inflate: Decompress::new(true) }
    }

    fn feed(&mut self, mut data: &[u8], mut keep: Option<&mut Vec<u8>>) -> Result<(), IngestError> {
        self.begun = true;
        let mut room = vec![0; 32 * 1024];
        while !self.ended {
            let (read, written) = (self.inflate.total_in(), self.inflate.total_out());
            let status = self
                .inflate
                .decompress(data, &mut room, FlushDecompress::None)
                .map_err(|_| IngestError::damaged(format!("{} cannot be unpacked", self.what)))?;
            if self.inflate.total_out() > self.limit {
                return Err(IngestError::Inflates { what: self.what, limit: self.limit });
            }
            let step = |now: u64, before: u64| usize::try_from(now - before).unwrap_or(usize::MAX);
            let (took, gave) = (step(self.inflate.total_in(), read), step(self.inflate.total_out(), written));
            if let (Some(kept), Some(new)) = (keep.as_deref_mut(), room.get(..gave)) {
                kept.extend_from_slice(new);
            }
            data = data.get(took..).unwrap_or_default();
            match status {
                Status::StreamEnd => self.ended = true,
                // Nothing more to be had from these bytes.
                Status::Ok | Status::BufError if took == 0 && gave == 0 => break,
                Status::Ok | Status::BufError => {}
            }
        }
        Ok(())
    }

    fn must_have_ended(&self) -> Result<(), IngestError> {
        if self.ended { Ok(()) } else { Err(IngestError::Truncated { what: "the PNG's picture has no end" }) }
    }
}
