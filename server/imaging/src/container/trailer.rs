//! What stands in a file beside its image.
//!
//! Telephones append further JPEGs (a gain map, a smaller preview), a short film (an MP4 that begins with `ftyp`), their
//! own directory (`SEFH … SEFT`) or padding: those are read to their ends and let through. The bytes are kept as they
//! came and given out only as an attachment. Anything else makes the file two things at once and is refused.

use super::read::{be32, le16, le32, span};
use super::{Format, jpeg};
use crate::{IngestError, Limits};
use memchr::memmem;

/// Bytes of no known meaning that are let through.
const TOLERATED: usize = 64;
/// A PDF may begin this late.
const PDF_WITHIN: usize = 1024;
/// An archive's last record, with the longest comment.
const ZIP_WITHIN: usize = 22 + 65_535;

/// Refuses what makes the file something else besides an image.
pub(super) fn check(bytes: &[u8], end: usize, format: Format) -> Result<(), IngestError> {
    let begins = bytes.get(..bytes.len().min(PDF_WITHIN)).unwrap_or_default();
    if let Some(at) = memmem::find(begins, b"%PDF-") {
        return Err(IngestError::Polyglot { what: "a PDF begins in it", at });
    }
    if let Some(at) = archive(bytes) {
        return Err(IngestError::Polyglot { what: "an archive (ZIP) stands in it", at });
    }
    let mut at = end;
    loop {
        at = padding(bytes, at);
        let Some(rest) = bytes.get(at..).filter(|rest| !rest.is_empty()) else { return Ok(()) };
        match known(bytes, rest, format) {
            Some(length) if length > 0 => at += length,
            _ => {
                let what = name(rest).unwrap_or("something follows the image");
                no_script(rest, at)?;
                if rest.len() > TOLERATED || name(rest).is_some() {
                    return Err(IngestError::Polyglot { what, at });
                }
                return Ok(());
            }
        }
    }
}

fn padding(bytes: &[u8], from: usize) -> usize {
    let rest = bytes.get(from..).unwrap_or_default();
    let pads = rest.iter().take_while(|b| matches!(b, 0 | b'\n' | b'\r' | b' ')).count();
    from + pads
}

/// The length of something a telephone appends.
fn known(bytes: &[u8], rest: &[u8], format: Format) -> Option<usize> {
    if format != Format::Jpeg {
        return None;
    }
    if rest.starts_with(&[0xFF, 0xD8, 0xFF]) {
        return jpeg::end_of(rest, &Limits::default());
    }
    if rest.get(4..8) == Some(b"ftyp") {
        return film(rest);
    }
    if directory(bytes) && no_script(rest, 0).is_ok() {
        return Some(rest.len());
    }
    None
}

/// The length of a film: its boxes, one behind the other.
fn film(bytes: &[u8]) -> Option<usize> {
    let mut at = 0;
    while let Some(kind) = bytes.get(at + 4..at + 8).filter(|k| k.iter().all(u8::is_ascii_alphanumeric)) {
        let boxes: [&[u8]; 12] = [
            b"ftyp", b"moov", b"mdat", b"free", b"skip", b"wide", b"uuid", b"meta", b"moof", b"mfra", b"styp", b"sidx",
        ];
        if !boxes.contains(&kind) {
            break;
        }
        let length = match be32(bytes, at)? {
            0 => bytes.len() - at,
            // The length stands behind the kind, in eight bytes; four are more than a photograph may have.
            1 if be32(bytes, at + 8) == Some(0) => usize::try_from(be32(bytes, at + 12)?).ok()?,
            short => usize::try_from(short).ok()?,
        };
        let next = at.checked_add(length).filter(|next| length >= 8 && *next <= bytes.len())?;
        at = next;
    }
    Some(at)
}

/// Whether the file ends in a directory of the telephone's own: its length stands before its last four letters.
fn directory(bytes: &[u8]) -> bool {
    let Some(tail) = bytes.len().checked_sub(8) else { return false };
    if bytes.get(tail + 4..) != Some(b"SEFT") {
        return false;
    }
    let begin = le32(bytes, tail).and_then(|length| tail.checked_sub(usize::try_from(length).ok()?));
    begin.is_some_and(|begin| bytes.get(begin..begin + 4) == Some(b"SEFH"))
}

/// Where an archive ends that readers of archives would find: they look for its last record from the end.
fn archive(bytes: &[u8]) -> Option<usize> {
    let from = bytes.len().saturating_sub(ZIP_WITHIN);
    let tail = bytes.get(from..)?;
    memmem::find_iter(tail, b"PK\x05\x06").map(|at| from + at).find(|at| {
        let comment = le16(bytes, at + 20).map(u32::from);
        comment.and_then(|length| span(bytes, at + 22, length)).is_some_and(|place| place.end == bytes.len())
    })
}

/// Refuses what a browser or a server would run.
pub(super) fn no_script(content: &[u8], at: usize) -> Result<(), IngestError> {
    for what in ["<script", "<html", "<!doctype html", "<?php", "%pdf-"] {
        if let Some(place) = find_text(content, what.as_bytes()) {
            let what = if what == "%pdf-" { "a PDF begins in it" } else { "a page or script stands in it" };
            return Err(IngestError::Polyglot { what, at: at + place });
        }
    }
    Ok(())
}

/// Finds lower-case text, however it is written.
fn find_text(content: &[u8], text: &[u8]) -> Option<usize> {
    let first = *text.first()?;
    memchr::memchr_iter(first, content)
        .find(|at| content.get(*at..*at + text.len()).is_some_and(|part| part.eq_ignore_ascii_case(text)))
}

/// What bytes look like that are no image.
pub(super) fn name(bytes: &[u8]) -> Option<&'static str> {
    let begins = bytes.trim_ascii_start();
    let text = |what: &str| begins.get(..what.len()).is_some_and(|b| b.eq_ignore_ascii_case(what.as_bytes()));
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"Rar!") || bytes.starts_with(b"\x1F\x8B") {
        Some("an archive")
    } else if begins.starts_with(b"%PDF-") {
        Some("a PDF")
    } else if bytes.starts_with(b"\x7FELF") || bytes.starts_with(b"MZ") || bytes.starts_with(b"#!") {
        Some("a program")
    } else if text("<svg") || text("<?xml") {
        Some("an SVG or XML document")
    } else if text("<!doctype") || text("<html") || text("<script") || text("<?php") {
        Some("a page or script")
    } else if bytes.starts_with(b"GIF8") {
        Some("a GIF")
    } else if bytes.starts_with(b"BM") && le32(bytes, 6) == Some(0) {
        Some("a bitmap")
    } else if bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*") {
        Some("a TIFF or raw image")
    } else if bytes.get(4..8) == Some(b"ftyp") {
        Some("a film")
    } else {
        None
    }
}
