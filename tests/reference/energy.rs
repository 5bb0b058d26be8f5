//! Sources: CoolProp 8.0.0 (densities) and chemicals 1.5.2 (calorific values), with a supplier's published figures
//! beside them; Ohm's law for what a pitch carries.

use crate::{exact, table};
use handsel_domain::hookup;
use handsel_domain::readings::lpg::{Gas, burn_hours, energy_kwh};

fn gas(substance: &str) -> Option<Gas> {
    match substance {
        "propane" => Some(Gas::Propane),
        "n-butane" => Some(Gas::Butane),
        _ => None,
    }
}

#[test]
fn calorific_values_and_densities_are_the_computed_ones_and_near_the_published() {
    let mut seen = 0;
    for row in table("lpg_properties.csv") {
        let Some(gas) = gas(&row["substance"]) else { continue };
        seen += 1;
        assert_eq!(gas.kwh_per_kg(), exact(&row["net_cv_kWh_per_kg"]));
        let density: f64 = row["liquid_density_15C_kg_per_m3"].parse().unwrap();
        assert!((gas.kg_per_litre().approx() * 1000.0 / density - 1.0).abs() < 1e-4, "{density}");
        let published: f64 = row["published_net_cv_MJ_per_kg"].parse().unwrap();
        let ours = gas.kwh_per_kg().approx() * 3.6;
        assert!((ours / published - 1.0).abs() < 0.005, "{ours} MJ/kg against the published {published}");
    }
    assert_eq!(seen, 2);
}

#[test]
fn an_appliance_burns_as_long_as_the_energy_lasts() {
    // 6 kg of propane: 6 x 46.338 MJ / 3.6 = 77.2 kWh; a 6 kW heater burns that in 12.87 h.
    let kwh = energy_kwh(Gas::Propane, exact("6")).unwrap().approx();
    assert!((kwh - 6.0 * 46.338 / 3.6).abs() < 0.01, "{kwh}");
    let hours = burn_hours(Gas::Propane, exact("6"), exact("6")).unwrap().approx();
    assert!((hours - 46.338 / 3.6).abs() < 0.002, "{hours}");
}

#[test]
fn a_pitch_carries_what_ohms_law_says() {
    for row in table("electrical_hookup.csv") {
        let (amps, watts) = (row["supply_current_A"].parse().unwrap(), row["load_W"].parse().unwrap());
        assert_eq!(hookup::fits(watts, amps), row["within_limit"] == "yes", "{watts} W on {amps} A");
        let current: f64 = row["load_current_A"].parse().unwrap();
        assert!((hookup::current(watts).approx() - current).abs() < 5e-5, "{watts} W draw {current} A");
        assert_eq!(row["voltage_V"], hookup::VOLTS.to_string());
    }
}
