//! The deposit as a double-entry ledger (rule 8).
//!
//! Every movement debits one account and credits another by the same amount, so the sum over all accounts is zero
//! at all times. The hirer's own pocket is an account like the others.

use crate::ids::MovementId;
use crate::money::{Money, MoneyError};
use crate::time::Instant;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use utoipa::ToSchema;

/// The accounts of one hire's deposit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Account {
    /// The hirer's money, outside the operator's reach.
    Hirer,
    /// Reserved on a card, or taken in cash or by transfer, and not yet anybody's.
    Held,
    /// The operator's: captured or paid.
    Received,
    /// Owed, and given up.
    WrittenOff,
}

/// How money moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MovementKind {
    /// A card hold placed, or a deposit taken.
    HoldPlaced,
    /// A hold raised (amount) or kept longer (amount zero, with a new end).
    HoldExtended,
    /// Part of what is held becomes the operator's.
    Captured,
    /// A card hold given back.
    Released,
    /// A balance paid by the hirer.
    Paid,
    /// A cash or transfer deposit paid back.
    Refunded,
    /// Received money paid back after the fact.
    Repaid,
    /// The hirer's bank took a captured or paid amount back.
    ChargedBack,
    /// A balance given up.
    WrittenOff,
}

impl MovementKind {
    pub const ALL: [Self; 9] = [
        Self::HoldPlaced,
        Self::HoldExtended,
        Self::Captured,
        Self::Released,
        Self::Paid,
        Self::Refunded,
        Self::Repaid,
        Self::ChargedBack,
        Self::WrittenOff,
    ];

    /// (debited, credited).
    #[must_use]
    pub const fn accounts(self) -> (Account, Account) {
        match self {
            Self::HoldPlaced | Self::HoldExtended => (Account::Held, Account::Hirer),
            Self::Captured => (Account::Received, Account::Held),
            Self::Released | Self::Refunded => (Account::Hirer, Account::Held),
            Self::Paid => (Account::Received, Account::Hirer),
            Self::Repaid | Self::ChargedBack => (Account::Hirer, Account::Received),
            Self::WrittenOff => (Account::WrittenOff, Account::Hirer),
        }
    }
}

/// By what means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Means {
    Card,
    Cash,
    Transfer,
    /// No money moves, such as a write-off.
    None,
}

/// One movement, as recorded. Never edited: a mistake is put right by a further movement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    pub id: MovementId,
    pub kind: MovementKind,
    pub means: Means,
    pub amount: Money,
    /// The payment provider's or the bank's reference; never card data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Who pays or is paid, where that is not the lead driver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub payer: Option<String>,
    /// When a card hold lapses by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold_ends_at: Option<Instant>,
    pub at: Instant,
}

/// Balances after some movements, in minor units of the currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Balances {
    pub hirer: Money,
    pub held: Money,
    pub received: Money,
    pub written_off: Money,
}

/// Why a movement was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MovementRefused {
    /// Zero or less (only an extension may be zero).
    NotPositive,
    /// More than is held.
    BeyondHeld {
        held: Money,
        asked: Money,
    },
    /// More than is still owed.
    BeyondOwed {
        owed: Money,
        asked: Money,
    },
    /// More than was received.
    BeyondReceived {
        received: Money,
        asked: Money,
    },
    /// Released is for card holds, refunded for cash and transfers, nothing else.
    WrongMeans {
        kind: MovementKind,
        means: Means,
    },
    Money(MoneyError),
}

impl From<MoneyError> for MovementRefused {
    fn from(error: MoneyError) -> Self {
        Self::Money(error)
    }
}

impl fmt::Display for MovementRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive => f.write_str("the amount must be more than zero"),
            Self::BeyondHeld { held, asked } => write!(f, "{asked} is more than the {held} still held"),
            Self::BeyondOwed { owed, asked } => write!(f, "{asked} is more than the {owed} still owed"),
            Self::BeyondReceived { received, asked } => write!(f, "{asked} is more than the {received} received"),
            Self::WrongMeans { kind, means } => {
                write!(
                    f,
                    "{kind:?} does not go with {means:?}: a card hold is released, cash and transfers are refunded"
                )
            }
            Self::Money(e) => fmt::Display::fmt(e, f),
        }
    }
}

impl std::error::Error for MovementRefused {}

/// A ledger being written: movements accepted so far and their balances.
#[derive(Clone, Debug)]
pub struct Ledger {
    balances: Balances,
    held_card: Money,
}

impl Ledger {
    #[must_use]
    pub const fn new(currency: crate::money::Currency) -> Self {
        let zero = Money::zero(currency);
        Self { balances: Balances { hirer: zero, held: zero, received: zero, written_off: zero }, held_card: zero }
    }

    /// Replays movements already accepted.
    ///
    /// # Errors
    /// The first movement that could not have been accepted, with its reason.
    pub fn replay<'a>(
        currency: crate::money::Currency,
        movements: impl IntoIterator<Item = &'a Movement>,
    ) -> Result<Self, (MovementId, MovementRefused)> {
        movements.into_iter().try_fold(Self::new(currency), |ledger, m| ledger.post(m, None).map_err(|e| (m.id, e)))
    }

    #[must_use]
    pub const fn balances(&self) -> Balances {
        self.balances
    }

    /// The part of what is held that is a card hold.
    #[must_use]
    pub const fn held_card(&self) -> Money {
        self.held_card
    }

    /// What is still owed of a total: owed less what was received and written off.
    ///
    /// # Errors
    /// Two currencies, or beyond the limit.
    pub fn outstanding(&self, owed: Money) -> Result<Money, MoneyError> {
        owed.minus(self.balances.received)?.minus(self.balances.written_off)
    }

    /// Posts one movement. `owed` is what accepted lines come to, and bounds captures, payments and write-offs;
    /// `None` when replaying history.
    ///
    /// # Errors
    /// [`MovementRefused`], and nothing changed.
    pub fn post(self, movement: &Movement, owed: Option<Money>) -> Result<Self, MovementRefused> {
        let asked = movement.amount;
        let zero = Money::zero(self.balances.held.currency);
        let may_be_zero = movement.kind == MovementKind::HoldExtended;
        // Also refuses a second currency.
        let positive = zero.minus(asked)?.is_negative();
        if !(positive || may_be_zero && asked.is_zero()) {
            return Err(MovementRefused::NotPositive);
        }
        let wrong = MovementRefused::WrongMeans { kind: movement.kind, means: movement.means };
        let means_fit = match movement.kind {
            MovementKind::Released | MovementKind::HoldExtended | MovementKind::ChargedBack => {
                movement.means == Means::Card
            }
            MovementKind::Refunded => matches!(movement.means, Means::Cash | Means::Transfer),
            MovementKind::WrittenOff => movement.means == Means::None,
            MovementKind::HoldPlaced | MovementKind::Captured | MovementKind::Paid | MovementKind::Repaid => {
                movement.means != Means::None
            }
        };
        if !means_fit {
            return Err(wrong);
        }
        let held_other = self.balances.held.minus(self.held_card)?;
        match movement.kind {
            MovementKind::Captured | MovementKind::Released | MovementKind::Refunded => {
                let held = if movement.means == Means::Card { self.held_card } else { held_other };
                if asked.minor > held.minor {
                    return Err(MovementRefused::BeyondHeld { held, asked });
                }
            }
            MovementKind::Repaid | MovementKind::ChargedBack if asked.minor > self.balances.received.minor => {
                return Err(MovementRefused::BeyondReceived { received: self.balances.received, asked });
            }
            _ => {}
        }
        if let Some(owed) = owed
            && matches!(movement.kind, MovementKind::Captured | MovementKind::Paid | MovementKind::WrittenOff)
        {
            let outstanding = self.outstanding(owed)?;
            if asked.minor > outstanding.minor {
                return Err(MovementRefused::BeyondOwed { owed: outstanding, asked });
            }
        }
        let (debit, credit) = movement.kind.accounts();
        let mut balances = self.balances;
        *balances.of(debit) = balances.of(debit).plus(asked)?;
        *balances.of(credit) = balances.of(credit).minus(asked)?;
        let card = movement.means == Means::Card;
        let held_card = match (card, debit, credit) {
            (true, Account::Held, _) => self.held_card.plus(asked)?,
            (true, _, Account::Held) => self.held_card.minus(asked)?,
            _ => self.held_card,
        };
        Ok(Self { balances, held_card })
    }

    /// Whether a settlement can be closed: owed = received + written off, and nothing held.
    ///
    /// # Errors
    /// What is still outstanding and still held.
    pub fn settled(&self, owed: Money) -> Result<(), Unsettled> {
        let outstanding =
            self.outstanding(owed).map_err(|_| Unsettled { outstanding: owed, held: self.balances.held })?;
        if outstanding.is_zero() && self.balances.held.is_zero() {
            Ok(())
        } else {
            Err(Unsettled { outstanding, held: self.balances.held })
        }
    }
}

/// When the first of the card holds lapses by itself: each reference's last word on its end, the earliest of them.
/// An extension that names no reference is of the one hold there is; where there are more, nobody can tell of which,
/// and none of them is taken for longer. None when no end is known.
#[must_use]
pub fn holds_end<'a>(movements: impl IntoIterator<Item = &'a Movement>) -> Option<Instant> {
    let mut ends: BTreeMap<Option<&str>, Instant> = BTreeMap::new();
    for movement in movements {
        if movement.means == Means::Card
            && let Some(end) = movement.hold_ends_at
        {
            let mut of = movement.reference.as_deref();
            if of.is_none() && movement.kind == MovementKind::HoldExtended && ends.len() == 1 {
                of = ends.keys().next().copied().flatten();
            }
            ends.insert(of, end);
        }
    }
    ends.into_values().min()
}

/// What stands in the way of closing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unsettled {
    pub outstanding: Money,
    pub held: Money,
}

impl Balances {
    fn of(&mut self, account: Account) -> &mut Money {
        match account {
            Account::Hirer => &mut self.hirer,
            Account::Held => &mut self.held,
            Account::Received => &mut self.received,
            Account::WrittenOff => &mut self.written_off,
        }
    }

    /// The sum over all accounts: zero at all times.
    ///
    /// # Errors
    /// Beyond the limit.
    pub fn sum(self) -> Result<Money, MoneyError> {
        Money::sum(self.hirer.currency, [self.hirer, self.held, self.received, self.written_off])
    }
}
