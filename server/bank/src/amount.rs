//! Decimal text to whole minor units, exactly.

use handsel_domain::money::{Currency, Money};

/// An amount without a sign. `1234.5` is 1234.50; a fraction finer than the minor unit is none, unless it is zeros.
///
/// # Errors
/// What the text should be instead.
pub(crate) fn unsigned(text: &str, currency: Currency, point: char) -> Result<Money, &'static str> {
    let (whole, fraction) = text.split_once(point).unwrap_or((text, ""));
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(fraction) || (text.contains(point) && fraction.is_empty()) {
        return Err("write it in digits, with one decimal point and no sign");
    }
    let places = usize::try_from(currency.exponent()).unwrap_or(usize::MAX);
    let (kept, finer) = fraction.split_at_checked(places).unwrap_or((fraction, ""));
    if finer.bytes().any(|b| b != b'0') {
        return Err("it is finer than the currency's minor unit");
    }
    let minor = format!("{whole}{kept:0<places$}").parse().map_err(|_| "it is larger than any amount")?;
    Ok(Money::new(minor, currency))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_exactly_or_not_at_all() {
        let read = |text: &str, currency| unsigned(text, currency, '.').map(|m| m.minor);
        assert_eq!(read("1234.5", Currency::Gbp), Ok(123_450));
        assert_eq!(read("0.05", Currency::Gbp), Ok(5));
        assert_eq!(read("12", Currency::Eur), Ok(1200));
        assert_eq!(read("1200.00", Currency::Jpy), Ok(1200));
        assert_eq!(read("1.2345", Currency::Kwd).ok(), None);
        assert_eq!(read("1.234", Currency::Kwd), Ok(1234));
        for wrong in ["", ".5", "1.", "-1", "+1", "1,000.00", "1 000", "1e3", "0x1", "0.001", "99999999999999999999"] {
            assert!(read(wrong, Currency::Gbp).is_err(), "{wrong}");
        }
        assert_eq!(unsigned("1234,5", Currency::Eur, ',').map(|m| m.minor), Ok(123_450));
    }
}
