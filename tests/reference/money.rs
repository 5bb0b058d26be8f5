//! Sources: ISO 4217 code list (public data set) and CLDR digits through Babel 2.18.0; rounding and tax examples
//! computed with Python's decimal.

use crate::{exact, table};
use handsel_domain::money::{Currency, Money};

#[test]
fn exponents_are_those_of_iso_4217() {
    for row in table("money_minor_units.csv") {
        let currency = Currency::from_code(&row["currency"]).unwrap();
        assert_eq!(currency.exponent().to_string(), row["iso4217_minor_units"], "{}", row["currency"]);
        assert_eq!(currency.exponent().to_string(), row["cldr_digits_babel"], "{}", row["currency"]);
    }
}

/// The currency whose minor unit is a quantum of the table.
fn currency(quantum: &str) -> Currency {
    match quantum {
        "1" => Currency::Jpy,
        "0.01" => Currency::Gbp,
        "0.001" => Currency::Kwd,
        other => panic!("no currency has the minor unit {other}"),
    }
}

fn minor(decimal: &str, currency: Currency) -> i64 {
    let scale = 10_i64.pow(currency.exponent());
    exact(decimal).times(handsel_domain::exact::Exact::whole(scale)).unwrap().round_half_away().unwrap()
}

#[test]
fn a_line_is_rounded_half_away_from_zero() {
    for row in table("money_rounding.csv") {
        let currency = currency(&row["quantum"]);
        let one = Money::new(10_i64.pow(currency.exponent()), currency);
        let rounded = one.times(exact(&row["input_decimal"])).unwrap();
        let expected = minor(&row["half_up_away_from_zero"], currency);
        assert_eq!(rounded.minor, expected, "{}", row["input_decimal"]);
    }
}

#[test]
fn tax_inside_a_gross_amount_is_the_published_fraction() {
    let mut seen = 0;
    for row in table("money_vat_examples.csv") {
        if row["case"] != "gross_to_vat_1_6" {
            continue;
        }
        seen += 1;
        let gross = Money::new(minor(&row["amount"], Currency::Gbp), Currency::Gbp);
        let tax = gross.tax_inside(exact(&row["rate_pct"])).unwrap();
        assert_eq!(tax.minor, minor(&row["vat_half_up"], Currency::Gbp), "{}", row["amount"]);
    }
    assert!(seen >= 8, "only {seen} rows");
}

#[test]
fn tax_is_rounded_once_for_a_group_not_for_each_line() {
    // The table's last row: five net lines of 3.25 together carry 0.65, by line 0.67. Their gross is 3.90.
    let row = table("money_vat_examples.csv").into_iter().find(|r| r["case"] == "lines_vs_total").unwrap();
    assert_eq!(row["vat_half_up"], "0.65");
    let tax = Money::new(390, Currency::Gbp).tax_inside(exact("20")).unwrap();
    assert_eq!(tax.minor, 65);
}
