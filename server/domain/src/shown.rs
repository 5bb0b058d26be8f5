//! Numbers, amounts and moments as a language writes them: one place for the words of the rules and for the papers.

use crate::exact::Exact;
use crate::money::{Currency, Money};
use crate::text::Lang;
use crate::time::{Instant, Zone};

/// Keeps a number and its unit in one line.
const TOGETHER: char = '\u{a0}';

const fn mark(lang: Lang) -> char {
    match lang {
        Lang::En => '.',
        Lang::De => ',',
    }
}

const fn separator(lang: Lang) -> char {
    match lang {
        Lang::En => ',',
        Lang::De => '.',
    }
}

/// A plain decimal (`-12345.6`) with the language's decimal mark, and its thousands apart.
fn written(plain: &str, lang: Lang) -> String {
    let (sign, digits) = plain.strip_prefix('-').map_or(("", plain), |rest| ("-", rest));
    let (whole, part) = digits.split_once('.').map_or((digits, None), |(whole, part)| (whole, Some(part)));
    let mut out = String::from(sign);
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(separator(lang));
        }
        out.push(digit);
    }
    if let Some(part) = part {
        out.push(mark(lang));
        out.push_str(part);
    }
    out
}

/// A decimal, rounded half away from zero to `places`, trailing zeros cut: `61,020.5`, `61.020,5`.
#[must_use]
pub fn number(value: Exact, places: u32, lang: Lang) -> String {
    written(&value.show(places), lang)
}

/// A rounded double, for uncertainties, which are not money.
#[must_use]
pub fn approx(value: f64, places: usize, lang: Lang) -> String {
    written(&format!("{value:.places$}"), lang)
}

/// An amount with its currency's own places: `£1,250.00`, `1.250,00 £`; a currency without a sign of its own by its
/// three letters (ISO 4217).
#[must_use]
pub fn money(value: Money, lang: Lang) -> String {
    let plain = value.plain();
    let (minus, digits) = plain.strip_prefix('-').map_or(("", plain.as_str()), |rest| ("-", rest));
    let digits = written(digits, lang);
    let sign = match value.currency {
        Currency::Gbp => Some("£"),
        Currency::Eur => Some("€"),
        _ => None,
    };
    let code = value.currency.code();
    match (lang, sign) {
        (Lang::En, Some(sign)) => format!("{minus}{sign}{digits}"),
        (Lang::En, None) => format!("{minus}{code}{TOGETHER}{digits}"),
        (Lang::De, sign) => format!("{minus}{digits}{TOGETHER}{}", sign.unwrap_or(code)),
    }
}

/// A moment by the zone's clock: `28 Mar 2026, 13:00`, `28.03.2026, 13:00`.
#[must_use]
pub fn moment(zone: Zone, at: Instant, lang: Lang) -> String {
    let form = match lang {
        Lang::En => "%-d %b %Y, %H:%M",
        Lang::De => "%d.%m.%Y, %H:%M",
    };
    zone.wall(at).format(form).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(text: &str) -> Exact {
        text.parse().unwrap()
    }

    #[test]
    fn numbers_are_written_as_the_language_does() {
        for (value, en, de) in [
            ("0", "0", "0"),
            ("14.25", "14.25", "14,25"),
            ("-3.5", "-3.5", "-3,5"),
            ("999", "999", "999"),
            ("1170", "1,170", "1.170"),
            ("61020", "61,020", "61.020"),
            ("-1234567.5", "-1,234,567.5", "-1.234.567,5"),
        ] {
            assert_eq!(number(exact(value), 3, Lang::En), en);
            assert_eq!(number(exact(value), 3, Lang::De), de);
        }
        assert_eq!(approx(8.164, 2, Lang::De), "8,16");
    }

    #[test]
    fn amounts_bear_their_sign_where_there_is_one() {
        for (minor, currency, en, de) in [
            (28_000, Currency::Gbp, "£280.00", "280,00\u{a0}£"),
            (100_000, Currency::Eur, "€1,000.00", "1.000,00\u{a0}€"),
            (-1_234, Currency::Gbp, "-£12.34", "-12,34\u{a0}£"),
            (123_456, Currency::Chf, "CHF\u{a0}1,234.56", "1.234,56\u{a0}CHF"),
            (1_500, Currency::Jpy, "JPY\u{a0}1,500", "1.500\u{a0}JPY"),
            (1_500, Currency::Kwd, "KWD\u{a0}1.500", "1,500\u{a0}KWD"),
        ] {
            assert_eq!(money(Money::new(minor, currency), Lang::En), en);
            assert_eq!(money(Money::new(minor, currency), Lang::De), de);
        }
    }

    #[test]
    fn moments_are_told_by_the_clock_of_the_place() {
        let zone: Zone = "Europe/London".parse().unwrap();
        let at: Instant = "2026-07-04T08:05:00Z".parse().unwrap();
        assert_eq!(moment(zone, at, Lang::En), "4 Jul 2026, 09:05");
        assert_eq!(moment(zone, at, Lang::De), "04.07.2026, 09:05");
    }
}
