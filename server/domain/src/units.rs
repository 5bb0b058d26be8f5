//! Units and their exact factors.

use crate::exact::{Exact, ExactError};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A unit an odometer counts in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DistanceUnit {
    Km,
    Mile,
}

/// Kilometres in an international mile: 1760 yards of 0.9144 m (NIST SP 811, B.6).
pub const KM_PER_MILE: Exact = Exact::scaled(1_609_344, 6);

impl DistanceUnit {
    /// Converts a distance between units, exactly.
    ///
    /// # Errors
    /// [`ExactError::Overflow`] beyond 128 bits.
    pub fn convert(self, value: Exact, to: Self) -> Result<Exact, ExactError> {
        match (self, to) {
            (Self::Mile, Self::Km) => value.times(KM_PER_MILE),
            (Self::Km, Self::Mile) => value.over(KM_PER_MILE),
            _ => Ok(value),
        }
    }

    /// The symbol shown to people.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Km => "km",
            Self::Mile => "mi",
        }
    }
}
