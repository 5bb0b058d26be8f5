//! Numbers out of bytes, each with the chance that the bytes end first.

use std::ops::Range;

pub(super) fn be16(bytes: &[u8], at: usize) -> Option<u16> {
    let part = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes(part.try_into().ok()?))
}

pub(super) fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    let part = bytes.get(at..at.checked_add(4)?)?;
    Some(u32::from_be_bytes(part.try_into().ok()?))
}

pub(super) fn le16(bytes: &[u8], at: usize) -> Option<u16> {
    be16(bytes, at).map(u16::swap_bytes)
}

pub(super) fn le32(bytes: &[u8], at: usize) -> Option<u32> {
    be32(bytes, at).map(u32::swap_bytes)
}

/// So many bytes from a place, if they are there.
pub(super) fn span(bytes: &[u8], at: usize, length: u32) -> Option<Range<usize>> {
    let end = at.checked_add(usize::try_from(length).ok()?)?;
    (end <= bytes.len()).then_some(at..end)
}
