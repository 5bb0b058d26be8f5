//! Leisure battery: open-circuit voltage at rest as an interval of the state of charge (rule 4).

use crate::exact::{Exact, ExactError};
use crate::inspection::BatteryReading;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The chemistry of a 12 V leisure battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Chemistry {
    /// Flooded lead-acid, six cells.
    Flooded,
    /// Absorbent glass mat lead-acid, six cells.
    Agm,
    /// Gel lead-acid: no published table was found, so no conclusion is drawn.
    Gel,
    /// Lithium iron phosphate, four cells.
    Lifepo4,
}

/// A published table: (volts, per cent), rising.
type Table = &'static [(Exact, i64)];

const fn row(millivolts: i128, percent: i64) -> (Exact, i64) {
    (Exact::scaled(millivolts, 3), percent)
}

/// Battery Council International values for six cells at 26.7 °C, as repeated by a battery maker and a training
/// text; rested 24 hours.
const FLOODED_BCI: Table = &[row(11_890, 0), row(12_060, 25), row(12_240, 50), row(12_450, 75), row(12_650, 100)];
/// A club magazine's table. It stops at a quarter: below it the table says nothing but "less".
const FLOODED_MAGAZINE: Table = &[row(12_150, 25), row(12_300, 50), row(12_450, 75), row(12_660, 100)];
/// The bands of a vehicle maker's owner manual; below 12.0 V it says only "under a quarter".
const AGM_MANUAL: Table = &[row(12_000, 25), row(12_300, 50), row(12_600, 75), row(12_800, 100)];
/// A published calculator's resting voltages for four cells.
const LIFEPO4_CALCULATOR: Table = &[
    row(10_000, 0),
    row(12_000, 10),
    row(12_800, 20),
    row(13_000, 30),
    row(13_200, 40),
    row(13_300, 70),
    row(13_400, 90),
    row(13_600, 99),
    row(14_600, 100),
];
/// Four cells of a published electrochemical parameter set at 25 °C.
const LIFEPO4_MODEL: Table = &[
    row(8_000, 0),
    row(11_141, 5),
    row(11_912, 10),
    row(12_743, 25),
    row(13_064, 50),
    row(13_170, 75),
    row(13_257, 90),
    row(13_266, 95),
    row(14_400, 100),
];

impl Chemistry {
    /// The published tables used; empty when there is none.
    #[must_use]
    pub const fn tables(self) -> &'static [Table] {
        match self {
            Self::Flooded => &[FLOODED_BCI, FLOODED_MAGAZINE],
            Self::Agm => &[AGM_MANUAL],
            Self::Gel => &[],
            Self::Lifepo4 => &[LIFEPO4_CALCULATOR, LIFEPO4_MODEL],
        }
    }

    /// Minutes without charge or load before the voltage means anything. Lead-acid: at least 8 hours (published
    /// trade advice; 24 h is better). Lithium: one hour (common practice, no source).
    #[must_use]
    pub const fn rest_minutes(self) -> u32 {
        match self {
            Self::Flooded | Self::Agm | Self::Gel => 480,
            Self::Lifepo4 => 60,
        }
    }

    /// State of charge, per cent, below which the battery itself is harmed (common practice, no source).
    #[must_use]
    pub const fn harm_below_percent(self) -> i64 {
        match self {
            Self::Flooded | Self::Agm | Self::Gel => 50,
            Self::Lifepo4 => 10,
        }
    }
}

/// What an open-circuit voltage can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charge {
    /// Not rested long enough: no conclusion. Minutes wanted.
    NotAtRest { wanted_minutes: u32 },
    /// No published table for this chemistry.
    NoTable,
    /// The state of charge lies between these, per cent.
    Between { low: Exact, high: Exact, harm: bool },
}

/// Reads a voltage as an interval of the state of charge: linear between rows, clamped at the ends, from the lowest
/// to the highest that any published table gives for any voltage of the meter's interval.
///
/// # Errors
/// [`ExactError::Overflow`] for figures beyond 128 bits.
pub fn charge(chemistry: Chemistry, reading: &BatteryReading) -> Result<Charge, ExactError> {
    if reading.minutes_at_rest < chemistry.rest_minutes() {
        return Ok(Charge::NotAtRest { wanted_minutes: chemistry.rest_minutes() });
    }
    let low_volts = reading.volts.minus(reading.half_width)?;
    let high_volts = reading.volts.plus(reading.half_width)?;
    let mut interval: Option<(Exact, Exact)> = None;
    for table in chemistry.tables() {
        let low = at_least(table, low_volts)?;
        let high = at_most(table, high_volts)?;
        interval = Some(interval.map_or((low, high), |(l, h)| (l.min(low), h.max(high))));
    }
    let Some((low, high)) = interval else { return Ok(Charge::NoTable) };
    Ok(Charge::Between { low, high, harm: high < Exact::whole(chemistry.harm_below_percent()) })
}

/// The least charge a table allows at a voltage: a table that does not reach zero says only "less" below its first row.
fn at_least(table: Table, volts: Exact) -> Result<Exact, ExactError> {
    match table.first() {
        Some((first, _)) if volts < *first => Ok(Exact::ZERO),
        _ => interpolate(table, volts),
    }
}

/// The most charge a table allows at a voltage.
fn at_most(table: Table, volts: Exact) -> Result<Exact, ExactError> {
    interpolate(table, volts)
}

/// Linear between rows, clamped at the ends.
///
/// # Errors
/// [`ExactError::Overflow`] for figures beyond 128 bits.
pub fn interpolate(table: &[(Exact, i64)], volts: Exact) -> Result<Exact, ExactError> {
    let mut previous: Option<(Exact, i64)> = None;
    for &(v, percent) in table {
        if volts <= v {
            let Some((v0, p0)) = previous else { return Ok(Exact::whole(percent)) };
            let share = volts.minus(v0)?.over(v.minus(v0)?)?;
            return Exact::whole(p0).plus(share.times(Exact::whole(percent - p0))?);
        }
        previous = Some((v, percent));
    }
    Ok(previous.map_or(Exact::ZERO, |(_, p)| Exact::whole(p)))
}
