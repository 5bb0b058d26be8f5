//! Exact numbers. Every measured or priced quantity is a ratio of two 128-bit integers, so that nothing is rounded
//! before the line is (rule 1), and an eighth of a tank or a third of one is itself, not a near decimal.

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;
use utoipa::{PartialSchema, ToSchema};

/// Largest magnitude read from a document; keeps every later product inside 128 bits.
const LIMIT: i128 = 1_000_000_000;
/// Most decimal places read from a document.
const PLACES: usize = 6;

/// An exact number. In JSON it is text holding a plain decimal, such as `"14.2"`: at most 6 decimal places and a
/// magnitude up to 10⁹. Whole JSON numbers are accepted too; fractional ones are not, since a binary float is not
/// the decimal somebody wrote.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Exact(Ratio<i128>);

/// Why a number could not be read or reckoned with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExactError {
    /// Not a plain decimal.
    NotADecimal,
    /// More than 6 decimal places or beyond 10⁹.
    OutOfRange,
    /// A result left the range of 128 bits.
    Overflow,
    /// Division by zero.
    DivisionByZero,
}

impl fmt::Display for ExactError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotADecimal => "not a plain decimal: write it as text such as \"14.2\"",
            Self::OutOfRange => "out of range: at most 6 decimal places and a magnitude up to 1000000000",
            Self::Overflow => "the figures are too large to reckon with exactly",
            Self::DivisionByZero => "division by zero",
        })
    }
}

impl std::error::Error for ExactError {}

impl Exact {
    pub const ZERO: Self = Self(Ratio::new_raw(0, 1));
    pub const ONE: Self = Self(Ratio::new_raw(1, 1));

    /// A whole number.
    #[must_use]
    pub fn whole(n: i64) -> Self {
        Self(Ratio::from_integer(i128::from(n)))
    }

    /// `n / d` in lowest terms.
    ///
    /// # Errors
    /// [`ExactError::DivisionByZero`] when `d` is zero.
    pub fn ratio(n: i64, d: i64) -> Result<Self, ExactError> {
        if d == 0 {
            return Err(ExactError::DivisionByZero);
        }
        Ok(Self(Ratio::new(i128::from(n), i128::from(d))))
    }

    /// A literal decimal known to be good, scaled: `scaled(1_609_344, 6)` is 1.609344.
    #[must_use]
    pub const fn scaled(n: i128, places: u32) -> Self {
        // Not reduced: every operation of `Ratio` reduces its own result, and comparisons cross-multiply.
        Self(Ratio::new_raw(n, 10_i128.pow(places)))
    }

    /// # Errors
    /// [`ExactError::Overflow`] beyond 128 bits.
    pub fn plus(self, other: Self) -> Result<Self, ExactError> {
        self.0.checked_add(&other.0).map(Self).ok_or(ExactError::Overflow)
    }

    /// # Errors
    /// [`ExactError::Overflow`] beyond 128 bits.
    pub fn minus(self, other: Self) -> Result<Self, ExactError> {
        self.0.checked_sub(&other.0).map(Self).ok_or(ExactError::Overflow)
    }

    /// # Errors
    /// [`ExactError::Overflow`] beyond 128 bits.
    pub fn times(self, other: Self) -> Result<Self, ExactError> {
        self.0.checked_mul(&other.0).map(Self).ok_or(ExactError::Overflow)
    }

    /// # Errors
    /// [`ExactError::DivisionByZero`], or [`ExactError::Overflow`] beyond 128 bits.
    pub fn over(self, other: Self) -> Result<Self, ExactError> {
        if other.is_zero() {
            return Err(ExactError::DivisionByZero);
        }
        self.0.checked_div(&other.0).map(Self).ok_or(ExactError::Overflow)
    }

    #[must_use]
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    #[must_use]
    pub fn is_negative(self) -> bool {
        self.0.is_negative()
    }

    #[must_use]
    pub fn is_positive(self) -> bool {
        self.0.is_positive()
    }

    /// The nearest whole number, a half away from zero.
    ///
    /// # Errors
    /// [`ExactError::Overflow`] when it does not fit 64 bits.
    pub fn round_half_away(self) -> Result<i64, ExactError> {
        i64::try_from(self.round_i128()).map_err(|_| ExactError::Overflow)
    }

    /// The smallest whole number that is not less.
    ///
    /// # Errors
    /// [`ExactError::Overflow`] when it does not fit 64 bits.
    pub fn ceil(self) -> Result<i64, ExactError> {
        i64::try_from(self.0.ceil().to_integer()).map_err(|_| ExactError::Overflow)
    }

    fn round_i128(self) -> i128 {
        // Ratio::round is half away from zero.
        self.0.round().to_integer()
    }

    /// A decimal for people: rounded half away from zero to `places`, trailing zeros cut.
    #[must_use]
    pub fn show(self, places: u32) -> String {
        let scale = 10_i128.checked_pow(places).unwrap_or(1);
        let Some(scaled) = self.0.checked_mul(&Ratio::from_integer(scale)) else {
            return self.0.to_integer().to_string();
        };
        let n = scaled.round().to_integer();
        let digits = n.unsigned_abs();
        let divisor = scale.unsigned_abs().max(1);
        let mut text = format!("{}{}", if n < 0 { "-" } else { "" }, digits / divisor);
        let rest = digits % divisor;
        if rest > 0 {
            let frac = format!("{rest:0width$}", width = usize::try_from(places).unwrap_or(0));
            text.push('.');
            text.push_str(frac.trim_end_matches('0'));
        }
        text
    }

    /// Nearest double, for plots and physics that is not money.
    #[must_use]
    pub fn approx(self) -> f64 {
        use num_traits::ToPrimitive;
        match (self.0.numer().to_f64(), self.0.denom().to_f64()) {
            (Some(n), Some(d)) => n / d,
            _ => f64::NAN,
        }
    }
}

impl fmt::Debug for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl FromStr for Exact {
    type Err = ExactError;

    fn from_str(text: &str) -> Result<Self, ExactError> {
        let (negative, digits) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let (whole, frac) = digits.split_once('.').unwrap_or((digits, ""));
        let all_digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !all_digits(whole) || (digits.contains('.') && !all_digits(frac)) {
            return Err(ExactError::NotADecimal);
        }
        if frac.len() > PLACES || whole.len() > 10 {
            return Err(ExactError::OutOfRange);
        }
        let joined: i128 = format!("{whole}{frac}").parse().map_err(|_| ExactError::NotADecimal)?;
        let scale =
            u32::try_from(frac.len()).ok().and_then(|p| 10_i128.checked_pow(p)).ok_or(ExactError::OutOfRange)?;
        let value = Ratio::new(if negative { -joined } else { joined }, scale);
        if value.abs() > Ratio::from_integer(LIMIT) {
            return Err(ExactError::OutOfRange);
        }
        Ok(Self(value))
    }
}

impl Serialize for Exact {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.show(6))
    }
}

impl<'de> Deserialize<'de> for Exact {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl de::Visitor<'_> for Visitor {
            type Value = Exact;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a decimal as text, such as \"14.2\"")
            }
            fn visit_str<E: de::Error>(self, v: &str) -> Result<Exact, E> {
                v.parse().map_err(|e: ExactError| E::custom(format!("`{v}` is {e}")))
            }
            fn visit_u64<E: de::Error>(self, v: u64) -> Result<Exact, E> {
                self.visit_str(&v.to_string())
            }
            fn visit_i64<E: de::Error>(self, v: i64) -> Result<Exact, E> {
                self.visit_str(&v.to_string())
            }
            fn visit_f64<E: de::Error>(self, v: f64) -> Result<Exact, E> {
                Err(E::custom(format!("{v} is a binary fraction: write the decimal as text, such as \"14.2\"")))
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

impl PartialSchema for Exact {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .pattern(Some(r"^-?\d{1,10}(\.\d{1,6})?$"))
            .description(Some("An exact decimal as text: at most 6 decimal places, magnitude up to 10^9."))
            .examples([serde_json::json!("14.2")])
            .into()
    }
}

impl ToSchema for Exact {
    fn name() -> std::borrow::Cow<'static, str> {
        "Decimal".into()
    }
}
