//! What a pitch's supply carries: current is power over voltage at unit power factor (Ohm's law).

use crate::case::MainsAppliance;
use crate::exact::Exact;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Nominal mains voltage in Europe.
pub const VOLTS: u32 = 230;
/// Supplies commonly offered on pitches, in amperes (common practice, no source).
pub const PITCHES: [u32; 3] = [6, 10, 16];

/// What one size of supply carries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Pitch {
    pub amps: u32,
    pub volts: u32,
    /// Most that may be switched on at once.
    pub watts: u32,
    pub appliances: Vec<PitchLoad>,
}

/// One appliance on a supply.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PitchLoad {
    pub name: String,
    pub watts: u32,
    /// Current drawn, to two decimals.
    pub amps: Exact,
    /// It may be switched on by itself.
    pub fits: bool,
}

/// Whether a load in watts stays within a supply in amperes.
#[must_use]
pub fn fits(watts: u32, amps: u32) -> bool {
    u64::from(watts) <= u64::from(amps) * u64::from(VOLTS)
}

/// The current of a load, in amperes, exact.
#[must_use]
pub fn current(watts: u32) -> Exact {
    Exact::ratio(i64::from(watts), i64::from(VOLTS)).unwrap_or(Exact::ZERO)
}

/// What each common supply carries of these appliances, each by itself.
#[must_use]
pub fn table(appliances: &[MainsAppliance]) -> Vec<Pitch> {
    PITCHES
        .into_iter()
        .map(|amps| Pitch {
            amps,
            volts: VOLTS,
            watts: amps * VOLTS,
            appliances: appliances
                .iter()
                .map(|a| PitchLoad {
                    name: a.name.clone(),
                    watts: a.watts,
                    amps: current(a.watts),
                    fits: fits(a.watts, amps),
                })
                .collect(),
        })
        .collect()
}
