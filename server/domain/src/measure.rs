//! Measured values with their uncertainty (rule 2).
//!
//! A reading's interval has half-width `a`; its standard uncertainty is `a / sqrt(3)` (rectangular distribution,
//! JCGM 100:2008, 4.3.7). Independent readings add in quadrature and the expanded uncertainty is `U = 2u`. Whether
//! something exceeds `U` is decided on squares, so no root is taken and the answer is exact.

use crate::exact::{Exact, ExactError};

/// A value and the half-width of its instrument's interval, in one unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    pub value: Exact,
    pub half_width: Exact,
}

impl Measured {
    #[must_use]
    pub const fn new(value: Exact, half_width: Exact) -> Self {
        Self { value, half_width }
    }
}

/// The sum of the squares of half-widths: three times the combined variance.
///
/// # Errors
/// [`ExactError::Overflow`] beyond 128 bits.
pub fn squares(half_widths: impl IntoIterator<Item = Exact>) -> Result<Exact, ExactError> {
    half_widths.into_iter().try_fold(Exact::ZERO, |sum, a| sum.plus(a.times(a)?))
}

/// Whether a positive difference exceeds the expanded uncertainty of readings with these half-widths:
/// `d > 2 sqrt(sum a^2 / 3)`, that is `3 d^2 > 4 sum a^2`.
///
/// # Errors
/// [`ExactError::Overflow`] beyond 128 bits.
pub fn exceeds(difference: Exact, sum_of_squares: Exact) -> Result<bool, ExactError> {
    if !difference.is_positive() {
        return Ok(false);
    }
    Ok(Exact::whole(3).times(difference.times(difference)?)? > Exact::whole(4).times(sum_of_squares)?)
}

/// The expanded uncertainty itself, for showing: `2 sqrt(sum a^2 / 3)`.
#[must_use]
pub fn expanded(sum_of_squares: Exact) -> f64 {
    2.0 * (sum_of_squares.approx() / 3.0).sqrt()
}
