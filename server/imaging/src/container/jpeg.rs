//! JPEG: segments by their lengths, entropy-coded data up to the next marker.

use super::read::be16;
use super::{Beside, Format, Found, check_size, orientation};
use crate::{IngestError, Limits};
use image::metadata::Orientation;
use memchr::memchr;

/// What a frame header says.
#[derive(Clone, Copy, Debug)]
struct Frame {
    width: u32,
    height: u32,
    components: u8,
    progressive: bool,
    /// Samples beside the first component's, in quarters of a component.
    quarters: u64,
}

/// What the walk has gathered so far.
struct Walk<'a> {
    bytes: &'a [u8],
    limits: &'a Limits,
    frame: Option<Frame>,
    scans: usize,
    /// A scan that holds fewer than all components: their coefficients are kept until the last one.
    apart: bool,
    orientation: Option<Orientation>,
    profile: Vec<(u8, &'a [u8])>,
    beside: Beside,
}

const CUT: IngestError = IngestError::Truncated { what: "the JPEG has no end" };

pub(super) fn walk(bytes: &[u8], limits: &Limits) -> Result<Found, IngestError> {
    let mut walk = Walk {
        bytes,
        limits,
        frame: None,
        scans: 0,
        apart: false,
        orientation: None,
        profile: Vec::new(),
        beside: Beside::new(limits),
    };
    let end = walk.go_to_end()?;
    let frame = match walk.frame {
        Some(frame) if walk.scans > 0 => frame,
        _ => return Err(IngestError::damaged("the JPEG ends without a picture in it")),
    };
    let pixels = u64::from(frame.width) * u64::from(frame.height);
    let coefficients = if frame.progressive || walk.apart { pixels.saturating_mul(frame.quarters) / 2 } else { 0 };
    walk.profile.sort_by_key(|(number, _)| *number);
    let profile: Vec<u8> = walk.profile.iter().flat_map(|(_, part)| part.iter().copied()).collect();
    Ok(Found {
        format: Format::Jpeg,
        width: frame.width,
        height: frame.height,
        end,
        orientation: walk.orientation.unwrap_or(Orientation::NoTransforms),
        profile: (!profile.is_empty()).then_some(profile),
        memory: pixels.saturating_mul(3).saturating_add(coefficients),
        grey: frame.components == 1,
    })
}

/// Where a JPEG that stands behind another ends.
pub(super) fn end_of(bytes: &[u8], limits: &Limits) -> Option<usize> {
    walk(bytes, limits).ok().map(|found| found.end)
}

impl<'a> Walk<'a> {
    fn go_to_end(&mut self) -> Result<usize, IngestError> {
        let mut at = 2;
        loop {
            let (marker, after) = self.marker(at)?;
            at = match marker {
                0xD9 => return Ok(after),
                0x01 | 0xD0..=0xD7 => after,
                0xD8 => return Err(IngestError::damaged(format!("the JPEG begins a second time at byte {at}"))),
                _ => self.segment(marker, after)?,
            };
        }
    }

    /// The marker at a place, and where it ends. Markers may be preceded by fill bytes.
    fn marker(&self, at: usize) -> Result<(u8, usize), IngestError> {
        if *self.bytes.get(at).ok_or(CUT)? != 0xFF {
            return Err(IngestError::damaged(format!("no part of the JPEG begins at byte {at}, where one should")));
        }
        let mut at = at + 1;
        loop {
            match *self.bytes.get(at).ok_or(CUT)? {
                0xFF => at += 1,
                marker => return Ok((marker, at + 1)),
            }
        }
    }

    /// Reads a segment; gives where the next marker is.
    fn segment(&mut self, marker: u8, at: usize) -> Result<usize, IngestError> {
        let length = usize::from(be16(self.bytes, at).ok_or(CUT)?);
        if length < 2 {
            return Err(IngestError::damaged(format!("a part of the JPEG at byte {at} has no length")));
        }
        let end = at + length;
        let content = self.bytes.get(at + 2..end).ok_or(CUT)?;
        match marker {
            0xC0..=0xC2 => self.frame_header(marker, content, at)?,
            0xC3 | 0xC7 => return Err(IngestError::Coding("lossless JPEG")),
            0xC5 | 0xC6 | 0xDE => return Err(IngestError::Coding("hierarchical JPEG")),
            0xC9..=0xCF => return Err(IngestError::Coding("arithmetic JPEG")),
            0xDA => {
                self.scan(content, at)?;
                return self.entropy(end);
            }
            0xDC => return Err(IngestError::NoSize { width: self.frame.map_or(0, |f| f.width), height: 0 }),
            0xE0..=0xEF | 0xFE => self.application(marker, content, at)?,
            _ => {}
        }
        Ok(end)
    }

    fn frame_header(&mut self, marker: u8, content: &[u8], at: usize) -> Result<(), IngestError> {
        let short = || IngestError::damaged(format!("the JPEG's frame header at byte {at} is too short"));
        if self.frame.is_some() {
            return Err(IngestError::damaged(format!("a second frame header stands at byte {at}")));
        }
        let precision = *content.first().ok_or_else(short)?;
        let height = u32::from(be16(content, 1).ok_or_else(short)?);
        let width = u32::from(be16(content, 3).ok_or_else(short)?);
        let components = *content.get(5).ok_or_else(short)?;
        if precision != 8 {
            return Err(IngestError::Coding("JPEG with other than 8 bits a colour"));
        }
        match components {
            1 | 3 => {}
            4 => return Err(IngestError::Colours("those of print (CMYK)")),
            _ => return Err(IngestError::Colours("neither grey nor red, green and blue")),
        }
        check_size(width, height, self.limits)?;
        self.frame = Some(Frame {
            width,
            height,
            components,
            progressive: marker == 0xC2,
            quarters: quarters(content, components).ok_or_else(short)?,
        });
        Ok(())
    }

    fn scan(&mut self, content: &[u8], at: usize) -> Result<(), IngestError> {
        let Some(frame) = self.frame else {
            return Err(IngestError::damaged(format!("a scan at byte {at} comes before the frame it belongs to")));
        };
        self.scans += 1;
        self.apart |= content.first().is_some_and(|n| *n < frame.components);
        if self.scans > self.limits.scans {
            return Err(IngestError::TooManyScans { limit: self.limits.scans });
        }
        Ok(())
    }

    /// Goes over entropy-coded data to the marker that ends it.
    fn entropy(&self, from: usize) -> Result<usize, IngestError> {
        let mut at = from;
        loop {
            let rest = self.bytes.get(at..).ok_or(CUT)?;
            at += memchr(0xFF, rest).ok_or(CUT)?;
            match *self.bytes.get(at + 1).ok_or(CUT)? {
                0x00 | 0xD0..=0xD7 => at += 2,
                0xFF => at += 1,
                _ => return Ok(at),
            }
        }
    }

    fn application(&mut self, marker: u8, content: &'a [u8], at: usize) -> Result<(), IngestError> {
        self.beside.add(content, at)?;
        if marker == 0xE1 && content.starts_with(b"Exif\0") && self.orientation.is_none() {
            self.orientation = Some(orientation(content));
        }
        if marker == 0xE2
            && let Some(part) = content.strip_prefix(b"ICC_PROFILE\0")
            && let (Some(number), Some(data)) = (part.first(), part.get(2..))
        {
            self.profile.push((*number, data));
        }
        Ok(())
    }
}

/// Samples of all components together, in quarters of the first one's: 4:2:0 has six.
fn quarters(content: &[u8], components: u8) -> Option<u64> {
    let mut samples = Vec::new();
    for index in 0..usize::from(components) {
        let factors = *content.get(7 + index * 3)?;
        samples.push(u64::from(factors >> 4) * u64::from(factors & 15));
    }
    let most = samples.iter().copied().max().filter(|m| *m > 0)?;
    Some(samples.iter().sum::<u64>() * 4 / most)
}
