//! Sources: Battery Council International open-circuit voltages at 26.7 °C (as repeated by two pages), a club
//! magazine's table, a vehicle maker's owner manual, a web calculator and PyBaMM 26.10.1.1 for LiFePO4.

use crate::{exact, table};
use handsel_domain::exact::Exact;
use handsel_domain::inspection::BatteryReading;
use handsel_domain::readings::battery::{Charge, Chemistry, charge};

fn interval(chemistry: Chemistry, volts: &str, half_width: &str) -> (Exact, Exact) {
    let reading = BatteryReading {
        volts: exact(volts),
        half_width: exact(half_width),
        minutes_at_rest: 24 * 60,
        temperature_c: None,
    };
    match charge(chemistry, &reading).unwrap() {
        Charge::Between { low, high, .. } => (low, high),
        other => panic!("{volts} V: {other:?}"),
    }
}

fn holds(chemistry: Chemistry, volts: &str, percent: &str) {
    let (low, high) = interval(chemistry, volts, "0");
    let percent = exact(percent);
    assert!(low <= percent && percent <= high, "{chemistry:?} {volts} V: {low:?} to {high:?} leaves out {percent:?}");
}

#[test]
fn the_battery_council_table_lies_inside_the_interval() {
    for row in table("battery_lead_acid_ocv.csv") {
        holds(Chemistry::Flooded, &row["bci_ocv_6cell_V_at_26.7C"], &row["soc_pct"]);
    }
}

#[test]
fn every_other_table_used_lies_inside_the_interval() {
    let mut seen = 0;
    for row in table("battery_other_tables.csv") {
        let chemistry = match row["chemistry"].as_str() {
            "flooded (club magazine)" => Chemistry::Flooded,
            name if name.starts_with("LiFePO4") => Chemistry::Lifepo4,
            _ => continue,
        };
        // The computed rows have four places of volts, the product's table three.
        let volts: f64 = row["rest_voltage_low_V"].parse().unwrap();
        let (low, high) = interval(chemistry, &format!("{volts:.3}"), "0.001");
        let percent = exact(&row["soc_pct_low"]);
        assert!(low <= percent && percent <= high, "{volts} V: {low:?} to {high:?} leaves out {percent:?}");
        seen += 1;
    }
    assert!(seen >= 20, "only {seen} rows");
}

#[test]
fn the_owner_manuals_bands_are_kept_for_agm() {
    for row in table("battery_other_tables.csv") {
        if row["chemistry"] != "AGM" || row["rest_voltage_low_V"].is_empty() {
            continue;
        }
        let (low, _) = interval(Chemistry::Agm, &row["rest_voltage_low_V"], "0");
        assert_eq!(low, exact(&row["soc_pct_low"]), "{} V", row["rest_voltage_low_V"]);
    }
    let (low, high) = interval(Chemistry::Agm, "11.5", "0");
    assert_eq!((low, high), (exact("0"), exact("25")), "below 12.0 V the manual says only: under a quarter");
}

#[test]
fn a_lithium_battery_in_the_middle_of_its_curve_tells_little() {
    // Both published curves are flat from 50 to 90 % (13.06 to 13.26 V): the interval must be honest about it.
    let (low, high) = interval(Chemistry::Lifepo4, "13.2", "0.05");
    assert!(high.minus(low).unwrap() > exact("40"), "{low:?} to {high:?}");
}

#[test]
fn the_tables_disagreement_widens_the_interval() {
    // 12.24 V: 50 % by the Battery Council, 40 % by the magazine.
    let (low, high) = interval(Chemistry::Flooded, "12.24", "0");
    assert_eq!((low, high), (exact("40"), exact("50")));
}
