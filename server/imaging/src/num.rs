//! Between counts, places and grey levels. The one file of the crate that converts with `as`.
#![expect(
    clippy::as_conversions,
    reason = "counts of pixels stay below 2^24, where f32 is exact, and float to integer saturates"
)]

/// A count as a number to reckon with.
pub(crate) const fn f(count: usize) -> f32 {
    count as f32
}

/// A count in double precision.
pub(crate) const fn d(count: usize) -> f64 {
    count as f64
}

/// A double in single precision.
pub(crate) const fn single(value: f64) -> f32 {
    value as f32
}

/// The whole number at or below.
pub(crate) fn floor(value: f32) -> i32 {
    // Without a call into the C library, which there is for every pixel otherwise.
    let towards_zero = value as i32;
    towards_zero - i32::from(whole(towards_zero) > value)
}

/// A whole number to reckon with.
pub(crate) const fn whole(value: i32) -> f32 {
    value as f32
}

/// The count at or below a value that is not negative.
pub(crate) const fn below(value: f32) -> usize {
    value as usize
}

/// The nearest count; nothing below zero.
pub(crate) fn count(value: f32) -> usize {
    value.round().max(0.0) as usize
}

/// A signed place.
pub(crate) const fn int(count: usize) -> i32 {
    count as i32
}

/// The nearest grey level.
pub(crate) fn byte(value: f32) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

/// A count of pixels along an edge.
pub(crate) const fn edge(count: usize) -> u32 {
    count as u32
}

/// A count of pixels along an edge, to walk over.
pub(crate) const fn size(edge: u32) -> usize {
    edge as usize
}
