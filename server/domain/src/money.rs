//! Money: whole minor units of one ISO 4217 currency (rule 1). Never a float.

use crate::exact::{Exact, ExactError};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;

/// A currency of ISO 4217 that the product knows the exponent of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "UPPERCASE")]
pub enum Currency {
    Gbp,
    Eur,
    Chf,
    Sek,
    Nok,
    Dkk,
    Isk,
    Pln,
    Czk,
    Usd,
    Cad,
    Aud,
    Nzd,
    Zar,
    Jpy,
    Kwd,
}

impl Currency {
    pub const ALL: [Self; 16] = [
        Self::Gbp,
        Self::Eur,
        Self::Chf,
        Self::Sek,
        Self::Nok,
        Self::Dkk,
        Self::Isk,
        Self::Pln,
        Self::Czk,
        Self::Usd,
        Self::Cad,
        Self::Aud,
        Self::Nzd,
        Self::Zar,
        Self::Jpy,
        Self::Kwd,
    ];

    /// Number of decimal places of the minor unit (ISO 4217).
    #[must_use]
    pub const fn exponent(self) -> u32 {
        match self {
            Self::Jpy | Self::Isk => 0,
            Self::Kwd => 3,
            _ => 2,
        }
    }

    /// The three-letter code.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Gbp => "GBP",
            Self::Eur => "EUR",
            Self::Chf => "CHF",
            Self::Sek => "SEK",
            Self::Nok => "NOK",
            Self::Dkk => "DKK",
            Self::Isk => "ISK",
            Self::Pln => "PLN",
            Self::Czk => "CZK",
            Self::Usd => "USD",
            Self::Cad => "CAD",
            Self::Aud => "AUD",
            Self::Nzd => "NZD",
            Self::Zar => "ZAR",
            Self::Jpy => "JPY",
            Self::Kwd => "KWD",
        }
    }

    /// The currency of a three-letter code.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.code() == code)
    }
}

/// Largest amount of minor units, so that a double in a browser still holds it exactly (2^53 - 1).
pub const MINOR_LIMIT: i64 = 9_007_199_254_740_991;

/// An amount: minor units and their currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Money {
    /// Whole minor units (pence, cents, yen).
    pub minor: i64,
    pub currency: Currency,
}

/// Why amounts could not be put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoneyError {
    /// Two currencies met.
    CurrencyMismatch(Currency, Currency),
    /// Beyond 2^53 - 1 minor units.
    Overflow,
}

impl fmt::Display for MoneyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CurrencyMismatch(a, b) => {
                write!(f, "amounts in {} and {} cannot be put together: use one currency", a.code(), b.code())
            }
            Self::Overflow => f.write_str("the amount is beyond what can be stored exactly"),
        }
    }
}

impl std::error::Error for MoneyError {}

impl From<ExactError> for MoneyError {
    fn from(_: ExactError) -> Self {
        Self::Overflow
    }
}

impl Money {
    /// `-12.50`: a plain decimal with the currency's own number of places.
    #[must_use]
    pub fn plain(self) -> String {
        let places = self.currency.exponent();
        let scale = 10_u64.pow(places);
        let digits = self.minor.unsigned_abs();
        let sign = if self.minor < 0 { "-" } else { "" };
        if places == 0 {
            return format!("{sign}{digits}");
        }
        let width = usize::try_from(places).unwrap_or(2);
        format!("{sign}{}.{:0width$}", digits / scale, digits % scale)
    }

    #[must_use]
    pub const fn new(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }

    #[must_use]
    pub const fn zero(currency: Currency) -> Self {
        Self { minor: 0, currency }
    }

    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.minor == 0
    }

    #[must_use]
    pub const fn is_negative(self) -> bool {
        self.minor < 0
    }

    /// # Errors
    /// Two currencies, or beyond the limit.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        self.same(other)?;
        Self::checked(self.minor.checked_add(other.minor), self.currency)
    }

    /// # Errors
    /// Two currencies, or beyond the limit.
    pub fn minus(self, other: Self) -> Result<Self, MoneyError> {
        self.same(other)?;
        Self::checked(self.minor.checked_sub(other.minor), self.currency)
    }

    /// `quantity x self`, rounded once, half away from zero: the one place a line is rounded (rule 1).
    ///
    /// # Errors
    /// Beyond the limit.
    pub fn times(self, quantity: Exact) -> Result<Self, MoneyError> {
        let minor = quantity.times(Exact::whole(self.minor))?.round_half_away()?;
        Self::checked(Some(minor), self.currency)
    }

    /// The tax inside an amount that includes it: `self x r / (100 + r)`, rounded once, half away from zero.
    ///
    /// # Errors
    /// Beyond the limit, or a rate of -100.
    pub fn tax_inside(self, rate_percent: Exact) -> Result<Self, MoneyError> {
        let share = rate_percent.over(Exact::whole(100).plus(rate_percent)?)?;
        self.times(share)
    }

    /// The smaller of two amounts.
    ///
    /// # Errors
    /// Two currencies.
    pub fn min(self, other: Self) -> Result<Self, MoneyError> {
        self.same(other)?;
        Ok(if other.minor < self.minor { other } else { self })
    }

    /// The sum of amounts of one currency.
    ///
    /// # Errors
    /// Two currencies, or beyond the limit.
    pub fn sum(currency: Currency, amounts: impl IntoIterator<Item = Self>) -> Result<Self, MoneyError> {
        amounts.into_iter().try_fold(Self::zero(currency), Self::plus)
    }

    fn same(self, other: Self) -> Result<(), MoneyError> {
        if self.currency == other.currency {
            Ok(())
        } else {
            Err(MoneyError::CurrencyMismatch(self.currency, other.currency))
        }
    }

    fn checked(minor: Option<i64>, currency: Currency) -> Result<Self, MoneyError> {
        match minor {
            Some(m) if m.abs() <= MINOR_LIMIT => Ok(Self { minor: m, currency }),
            _ => Err(MoneyError::Overflow),
        }
    }
}

impl fmt::Display for Money {
    /// `12.50 GBP`: a plain decimal with the currency's own number of places, as errors and files tell it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.plain(), self.currency.code())
    }
}
