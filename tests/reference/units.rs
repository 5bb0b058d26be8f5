//! Source: NIST SP 811, B.6 (mile through the 1959 yard); examples computed with Python's decimal.

use crate::{exact, table};
use handsel_domain::exact::Exact;
use handsel_domain::units::{DistanceUnit, KM_PER_MILE};

#[test]
fn a_mile_is_exactly_its_kilometres() {
    let row = table("units_exact.csv").into_iter().find(|r| r["from"] == "mile").unwrap();
    assert_eq!(KM_PER_MILE, exact(&row["factor_exact"]));
}

#[test]
fn distances_convert_to_sixteen_digits() {
    let mut seen = 0;
    for row in table("units_examples.csv") {
        let (from, to) = match (row["unit_in"].as_str(), row["unit_out"].as_str()) {
            ("mile", "km") => (DistanceUnit::Mile, DistanceUnit::Km),
            ("km", "mile") => (DistanceUnit::Km, DistanceUnit::Mile),
            _ => continue,
        };
        // A value of more places than a document may hold is checked the other way round.
        let Ok(value) = row["value_in"].parse::<Exact>() else { continue };
        seen += 1;
        let got = from.convert(value, to).unwrap().approx();
        let published: f64 = row["value_out_exact_or_16_digits"].parse().unwrap();
        assert!((got / published - 1.0).abs() < 1e-15, "{got} {published}");
        assert_eq!(to.convert(from.convert(value, to).unwrap(), from).unwrap(), value, "there and back is exact");
    }
    assert!(seen >= 2, "only {seen} rows");
}
