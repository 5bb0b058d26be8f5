//! Whether an answer can be what somebody read. A fault is refused with its numbers, before it can become money.

use crate::exact::Exact;
use crate::inspection::{Answer, Entry, Level};
use crate::readings::distance::{self, DistanceFault};
use crate::readings::lpg::{self, WeighingFault};
use crate::template::Ask;
use std::fmt;

/// Why an answer is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryFault {
    /// The question takes another kind of answer.
    WrongKind {
        wanted: &'static str,
    },
    /// A gauge without divisions, or a level beyond the tank.
    Level,
    /// A negative reading or half-width.
    Negative,
    /// A voltage, depth or weight nothing on a motorhome has.
    Implausible {
        what: &'static str,
        value: Exact,
        least: i64,
        most: i64,
    },
    Distance(DistanceFault),
    Weighing(WeighingFault),
}

impl fmt::Display for EntryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::WrongKind { wanted } => write!(f, "this question takes an answer of kind `{wanted}`"),
            Self::Level => {
                f.write_str("the level must lie between empty and full, on a gauge with at least one division")
            }
            Self::Negative => f.write_str("a reading or its half-width cannot be negative"),
            Self::Implausible { what, value, least, most } => {
                write!(
                    f,
                    "{what} of {} cannot be right: it lies between {least} and {most}; read it again",
                    value.show(3)
                )
            }
            Self::Distance(fault) => fault.fmt(f),
            Self::Weighing(fault) => fault.fmt(f),
        }
    }
}

impl std::error::Error for EntryFault {}

impl fmt::Display for WeighingFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BelowTare { gross, tare } => write!(
                f,
                "the cylinder weighs {} kg, which is under its stamped tare of {} kg: weigh it again or read the stamp again",
                gross.show(3),
                tare.show(3)
            ),
            Self::Overfull { gas, net_fill } => write!(
                f,
                "{} kg of gas is more than 5 % above the cylinder's net fill of {} kg: weigh it again or check the stamp and the size",
                gas.show(3),
                net_fill.show(3)
            ),
            Self::Overflow => f.write_str("the weights are too large to reckon with"),
        }
    }
}

/// The name of the kind of answer a question takes.
#[must_use]
pub const fn wanted(ask: &Ask) -> &'static str {
    match ask {
        Ask::Condition => "condition",
        Ask::Odometer => "odometer",
        Ask::Fuel => "fuel",
        Ask::Cylinder { .. } => "cylinder",
        Ask::LeisureBattery => "leisure_battery",
        Ask::StarterBattery => "starter_battery",
        Ask::Water { .. } => "water",
        Ask::Cassette => "cassette",
        Ask::Tread { .. } => "tread",
        Ask::Keys => "keys",
        Ask::Cleanliness { .. } => "cleanliness",
    }
}

/// The name of an answer's kind.
#[must_use]
pub const fn kind(answer: &Answer) -> &'static str {
    match answer {
        Answer::Condition { .. } => "condition",
        Answer::Odometer { .. } => "odometer",
        Answer::Fuel { .. } => "fuel",
        Answer::Cylinder(_) => "cylinder",
        Answer::LeisureBattery(_) => "leisure_battery",
        Answer::StarterBattery { .. } => "starter_battery",
        Answer::Water { .. } => "water",
        Answer::Cassette { .. } => "cassette",
        Answer::Tread { .. } => "tread",
        Answer::Keys { .. } => "keys",
        Answer::Cleanliness { .. } => "cleanliness",
        Answer::Count { .. } => "count",
    }
}

/// Checks an answer to a checkpoint. `departure` is the departure's answer to the same checkpoint, on return;
/// `replaced` says that the office has recorded a new odometer.
///
/// # Errors
/// [`EntryFault`], whose words carry the numbers.
pub fn check(ask: &Ask, answer: &Answer, departure: Option<&Entry>, replaced: bool) -> Result<(), EntryFault> {
    let wanted = wanted(ask);
    if kind(answer) != wanted {
        return Err(EntryFault::WrongKind { wanted });
    }
    values(answer)?;
    if let (Answer::Odometer { value, unit }, Some(entry)) = (answer, departure)
        && let Answer::Odometer { value: out, unit: out_unit } = entry.answer
        && !replaced
    {
        distance::driven((out, out_unit), (*value, *unit), None).map_err(EntryFault::Distance)?;
    }
    Ok(())
}

/// Checks an answer by itself, whatever it was asked for.
///
/// # Errors
/// [`EntryFault`], whose words carry the numbers.
pub fn values(answer: &Answer) -> Result<(), EntryFault> {
    match answer {
        Answer::Odometer { value, .. } => not_negative(&[*value]),
        Answer::Fuel { level } | Answer::Water { level, .. } => check_level(*level),
        Answer::Cylinder(r) => {
            not_negative(&[r.gross_kg, r.tare_kg, r.half_width_kg])?;
            between("a cylinder's net fill in kg", r.net_fill_kg, 0, 200)?;
            if r.net_fill_kg.is_zero() {
                return Err(EntryFault::Implausible {
                    what: "a cylinder's net fill in kg",
                    value: r.net_fill_kg,
                    least: 0,
                    most: 200,
                });
            }
            lpg::gas_in(r).map(|_| ()).map_err(EntryFault::Weighing)
        }
        Answer::LeisureBattery(r) => {
            not_negative(&[r.volts, r.half_width])?;
            between("a 12 V battery's voltage", r.volts, 0, 18)
        }
        Answer::StarterBattery { volts, half_width } => {
            not_negative(&[*volts, *half_width])?;
            between("a starter battery's voltage", *volts, 0, 32)
        }
        Answer::Tread { mm, half_width } => {
            not_negative(&[*mm, *half_width])?;
            between("a tread depth in mm", *mm, 0, 30)
        }
        Answer::Condition { .. }
        | Answer::Cassette { .. }
        | Answer::Keys { .. }
        | Answer::Cleanliness { .. }
        | Answer::Count { .. } => Ok(()),
    }
}

fn check_level(level: Level) -> Result<(), EntryFault> {
    let measured = level.share().map_err(|_| EntryFault::Level)?;
    if measured.value.is_negative() || measured.value > Exact::ONE {
        return Err(EntryFault::Level);
    }
    not_negative(&[measured.half_width])
}

fn not_negative(values: &[Exact]) -> Result<(), EntryFault> {
    if values.iter().any(|v| v.is_negative()) { Err(EntryFault::Negative) } else { Ok(()) }
}

fn between(what: &'static str, value: Exact, least: i64, most: i64) -> Result<(), EntryFault> {
    if value < Exact::whole(least) || value > Exact::whole(most) {
        return Err(EntryFault::Implausible { what, value, least, most });
    }
    Ok(())
}
