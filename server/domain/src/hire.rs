//! The life of a hire, as states that consume each other: what is not a transition here cannot happen.

use crate::time::Instant;
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;

/// Where a hire stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum HireStatus {
    /// Agreed; the vehicle is still here.
    Booked,
    /// The departure was signed; the hirer has the vehicle.
    Out,
    /// The return was signed; the office decides.
    Returned,
    /// Every line decided, nothing owed, nothing held.
    Settled,
    Cancelled,
}

/// A hire with the moments its state rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HireState {
    Booked,
    Out { departed_at: Instant },
    Returned { departed_at: Instant, returned_at: Instant },
    Settled { departed_at: Instant, returned_at: Instant, settled_at: Instant },
    Cancelled { cancelled_at: Instant },
}

/// A deed that does not fit the state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrongState {
    pub is: HireStatus,
    pub wanted: HireStatus,
}

impl fmt::Display for WrongState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the hire is {:?}, and this needs one that is {:?}", self.is, self.wanted)
    }
}

impl std::error::Error for WrongState {}

impl HireState {
    #[must_use]
    pub const fn status(self) -> HireStatus {
        match self {
            Self::Booked => HireStatus::Booked,
            Self::Out { .. } => HireStatus::Out,
            Self::Returned { .. } => HireStatus::Returned,
            Self::Settled { .. } => HireStatus::Settled,
            Self::Cancelled { .. } => HireStatus::Cancelled,
        }
    }

    /// The departure was signed.
    ///
    /// # Errors
    /// [`WrongState`] unless booked.
    pub const fn depart(self, at: Instant) -> Result<Self, WrongState> {
        match self {
            Self::Booked => Ok(Self::Out { departed_at: at }),
            other => Err(WrongState { is: other.status(), wanted: HireStatus::Booked }),
        }
    }

    /// The return was signed.
    ///
    /// # Errors
    /// [`WrongState`] unless out.
    pub const fn take_back(self, at: Instant) -> Result<Self, WrongState> {
        match self {
            Self::Out { departed_at } => Ok(Self::Returned { departed_at, returned_at: at }),
            other => Err(WrongState { is: other.status(), wanted: HireStatus::Out }),
        }
    }

    /// The settlement was closed.
    ///
    /// # Errors
    /// [`WrongState`] unless returned.
    pub const fn settle(self, at: Instant) -> Result<Self, WrongState> {
        match self {
            Self::Returned { departed_at, returned_at } => {
                Ok(Self::Settled { departed_at, returned_at, settled_at: at })
            }
            other => Err(WrongState { is: other.status(), wanted: HireStatus::Returned }),
        }
    }

    /// The hire was called off before departure.
    ///
    /// # Errors
    /// [`WrongState`] unless booked.
    pub const fn cancel(self, at: Instant) -> Result<Self, WrongState> {
        match self {
            Self::Booked => Ok(Self::Cancelled { cancelled_at: at }),
            other => Err(WrongState { is: other.status(), wanted: HireStatus::Booked }),
        }
    }
}
