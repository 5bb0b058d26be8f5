//! Missing kit at its value on the day (rule 4).

use crate::exact::{Exact, ExactError};
use crate::tariff::ItemPrice;
use crate::time::{Date, whole_months};

/// The share of its price a piece is still worth: `max(floor, 1 - age / service life)`, whole months, straight line.
/// Without a date of purchase nothing shows that it is worth more than the floor.
///
/// # Errors
/// [`ExactError::Overflow`] beyond 128 bits.
pub fn value_share(price: &ItemPrice, acquired: Option<Date>, on: Date) -> Result<Exact, ExactError> {
    let Some(acquired) = acquired else { return Ok(price.floor) };
    if price.service_life_months == 0 {
        return Ok(price.floor);
    }
    let age = Exact::ratio(i64::from(whole_months(acquired, on)), i64::from(price.service_life_months))?;
    Ok(Exact::ONE.minus(age)?.max(price.floor))
}
