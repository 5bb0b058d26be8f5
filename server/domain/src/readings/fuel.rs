//! Fuel that is missing (rule 4), where the gauge can tell (rule 2).

use crate::exact::{Exact, ExactError};
use crate::inspection::Level;
use crate::measure;

/// What two fuel levels come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuelChange {
    /// Departure less return, in litres: negative for a surplus.
    pub shortfall_litres: Exact,
    /// Expanded uncertainty of the difference, in litres, for showing.
    pub uncertainty_litres: f64,
    /// The shortfall exceeds what the gauges leave open.
    pub chargeable: bool,
}

/// Compares two levels of one tank.
///
/// # Errors
/// A gauge without divisions, or figures beyond 128 bits.
pub fn change(out: Level, back: Level, tank_litres: Exact) -> Result<FuelChange, ExactError> {
    let (out, back) = (out.share()?, back.share()?);
    let difference = out.value.minus(back.value)?;
    let squares = measure::squares([out.half_width, back.half_width])?;
    Ok(FuelChange {
        shortfall_litres: difference.times(tank_litres)?,
        uncertainty_litres: measure::expanded(squares) * tank_litres.approx(),
        chargeable: measure::exceeds(difference, squares)?,
    })
}
