//! Distance driven, and what is beyond the allowance (rule 4).

use crate::case::OdometerReplacement;
use crate::exact::{Exact, ExactError};
use crate::tariff::DistanceRule;
use crate::units::DistanceUnit;
use std::fmt;

/// An odometer reading.
pub type Odometer = (Exact, DistanceUnit);

/// Why a distance cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DistanceFault {
    /// The return reads less than the departure.
    RolledBack {
        out: Odometer,
        back: Odometer,
    },
    /// A replaced odometer's figures do not fit the readings.
    Replacement {
        out: Odometer,
        back: Odometer,
        old_last: Odometer,
        new_first: Odometer,
    },
    Overflow,
}

impl From<ExactError> for DistanceFault {
    fn from(_: ExactError) -> Self {
        Self::Overflow
    }
}

fn show((value, unit): Odometer) -> String {
    format!("{} {}", value.show(1), unit.symbol())
}

impl fmt::Display for DistanceFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RolledBack { out, back } => write!(
                f,
                "the odometer reads {} at return, less than the {} of departure: read it again, or have the office record an odometer replacement",
                show(*back),
                show(*out)
            ),
            Self::Replacement { out, back, old_last, new_first } => write!(
                f,
                "the odometer replacement ({} to {}) does not fit the readings {} at departure and {} at return",
                show(*old_last),
                show(*new_first),
                show(*out),
                show(*back)
            ),
            Self::Overflow => f.write_str("the odometer figures are too large to reckon with"),
        }
    }
}

impl std::error::Error for DistanceFault {}

/// Distance between two readings, in the departure's unit.
///
/// # Errors
/// [`DistanceFault`] when the return reads less, or a replacement does not fit.
pub fn driven(out: Odometer, back: Odometer, replaced: Option<&OdometerReplacement>) -> Result<Exact, DistanceFault> {
    let unit = out.1;
    let back_value = back.1.convert(back.0, unit)?;
    let Some(replacement) = replaced else {
        let distance = back_value.minus(out.0)?;
        return if distance.is_negative() { Err(DistanceFault::RolledBack { out, back }) } else { Ok(distance) };
    };
    let old_last = replacement.unit.convert(replacement.old_last, unit)?;
    let new_first = replacement.unit.convert(replacement.new_first, unit)?;
    let before = old_last.minus(out.0)?;
    let after = back_value.minus(new_first)?;
    if before.is_negative() || after.is_negative() {
        return Err(DistanceFault::Replacement {
            out,
            back,
            old_last: (replacement.old_last, replacement.unit),
            new_first: (replacement.new_first, replacement.unit),
        });
    }
    Ok(before.plus(after)?)
}

/// Distance against an allowance, in the tariff's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Excess {
    pub driven: Exact,
    /// None when unlimited.
    pub allowance: Option<Exact>,
    /// Never negative.
    pub excess: Exact,
}

/// What of a distance is beyond the allowance.
///
/// # Errors
/// [`ExactError::Overflow`] beyond 128 bits.
pub fn excess(rule: &DistanceRule, driven: Exact, unit: DistanceUnit, hire_days: u32) -> Result<Excess, ExactError> {
    let driven = unit.convert(driven, rule.unit)?;
    let Some(per_day) = rule.allowance_per_day else {
        return Ok(Excess { driven, allowance: None, excess: Exact::ZERO });
    };
    let allowance = per_day.times(Exact::whole(i64::from(hire_days)))?;
    let excess = driven.minus(allowance)?.max(Exact::ZERO);
    Ok(Excess { driven, allowance: Some(allowance), excess })
}
