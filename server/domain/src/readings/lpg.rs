//! Gas by weight (rule 4): gross minus the tare stamped on that very cylinder, summed over those fitted.

use crate::exact::{Exact, ExactError};
use crate::inspection::CylinderReading;
use crate::measure::Measured;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What the cylinders hold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Gas {
    #[default]
    Propane,
    Butane,
}

impl Gas {
    /// Net calorific value in kWh per kg (computed with a reference library from standard heats of combustion,
    /// water as vapour: propane 46.338 MJ/kg, n-butane 45.716 MJ/kg).
    #[must_use]
    pub const fn kwh_per_kg(self) -> Exact {
        match self {
            Self::Propane => Exact::scaled(12_872, 3),
            Self::Butane => Exact::scaled(12_699, 3),
        }
    }

    /// Density of the liquid at 15 °C in kg per litre (computed with a reference library for the pure substance).
    #[must_use]
    pub const fn kg_per_litre(self) -> Exact {
        match self {
            Self::Propane => Exact::scaled(50_750, 5),
            Self::Butane => Exact::scaled(58_425, 5),
        }
    }
}

/// What is wrong with a weighing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeighingFault {
    /// Gross is under the stamped tare.
    BelowTare { gross: Exact, tare: Exact },
    /// More gas than the net fill plus 5 %.
    Overfull { gas: Exact, net_fill: Exact },
    /// Figures too large to reckon with.
    Overflow,
}

impl From<ExactError> for WeighingFault {
    fn from(_: ExactError) -> Self {
        Self::Overflow
    }
}

/// The gas in one cylinder, in kg with the scale's half-width.
///
/// # Errors
/// Gross below tare, or gas above the net fill by more than 5 %.
pub fn gas_in(reading: &CylinderReading) -> Result<Measured, WeighingFault> {
    let gas = reading.gross_kg.minus(reading.tare_kg)?;
    if gas.is_negative() {
        return Err(WeighingFault::BelowTare { gross: reading.gross_kg, tare: reading.tare_kg });
    }
    if gas > reading.net_fill_kg.times(Exact::scaled(105, 2))? {
        return Err(WeighingFault::Overfull { gas, net_fill: reading.net_fill_kg });
    }
    Ok(Measured::new(gas, reading.half_width_kg))
}

/// Energy in an amount of gas, in kWh (net calorific value).
///
/// # Errors
/// [`ExactError::Overflow`] beyond 128 bits.
pub fn energy_kwh(gas: Gas, kg: Exact) -> Result<Exact, ExactError> {
    kg.times(gas.kwh_per_kg())
}

/// Hours an appliance of a rated input burns on an amount of gas.
///
/// # Errors
/// [`ExactError::DivisionByZero`] for an appliance without input.
pub fn burn_hours(gas: Gas, kg: Exact, input_kw: Exact) -> Result<Exact, ExactError> {
    energy_kwh(gas, kg)?.over(input_kw)
}
