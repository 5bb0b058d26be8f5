//! Source: JCGM 100:2008, 4.3.7 (rectangular distribution, u = a / sqrt(3)); the worked figure for the thermal expansion
//! of copper (half-width 0.40, u = 0.23, in 10^-6 per kelvin) as repeated by a public examination paper.

use crate::exact;
use handsel_domain::measure::{exceeds, expanded, squares};

#[test]
fn the_worked_half_width_gives_the_worked_uncertainty() {
    let u = expanded(squares([exact("0.40")]).unwrap()) / 2.0;
    assert!((u - 0.23).abs() < 0.005, "{u}");
    assert!((u - 0.40 / 3.0_f64.sqrt()).abs() < 1e-15, "{u}");
}

#[test]
fn two_readings_add_in_quadrature_and_two_sigma_expand() {
    // 5.1.2 of the same guide: independent inputs with unit sensitivities; coverage factor 2 (6.3.3).
    let (a, b) = (0.05_f64, 0.0625_f64);
    let by_hand = 2.0 * (a * a / 3.0 + b * b / 3.0).sqrt();
    let got = expanded(squares([exact("0.05"), exact("0.0625")]).unwrap());
    assert!((got - by_hand).abs() < 1e-15, "{got} {by_hand}");
}

#[test]
fn the_exact_decision_agrees_with_the_root_on_both_sides_of_it() {
    // a = 0.3, twice: U = 2 sqrt(0.06) = 0.489897948..., so six places tell both sides apart.
    let both = squares([exact("0.3"), exact("0.3")]).unwrap();
    assert!(!exceeds(exact("0.489897"), both).unwrap());
    assert!(exceeds(exact("0.489898"), both).unwrap());
    // A tie is not more: a = 0.3 once gives U = 2 x 0.3 / sqrt(3), and 3 d^2 = 4 a^2 has no rational d; zero has.
    assert!(!exceeds(exact("0"), squares([exact("0")]).unwrap()).unwrap());
}
