//! What must hold whatever the figures are.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use handsel_domain::case::Case;
use handsel_domain::case_check;
use handsel_domain::comparison::compare;
use handsel_domain::deposit::{Ledger, Means, Movement, MovementKind};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{EntryId, MovementId};
use handsel_domain::inspection::{Answer, CassetteState, Level};
use handsel_domain::money::{Currency, Money};
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use proptest::prelude::*;
use uuid::Uuid;

fn base() -> Case {
    let json = include_bytes!("../../../fixtures/cases/01_clean_return.case.json");
    case_check::parse(json).unwrap()
}

fn set(case: &mut Case, on_return: bool, key: &str, answer: Answer) {
    let leg = if on_return { &mut case.return_ } else { &mut case.departure };
    let entry = leg.entries.iter_mut().find(|e| e.checkpoint == key).unwrap();
    entry.answer = answer;
}

fn fuel(part: u32, of: u32) -> Answer {
    Answer::Fuel { level: Level::Gauge { part, of } }
}

fn undecided(case: &Case) -> i64 {
    compare(case, Lang::En).unwrap().totals.undecided.minor
}

fn odometer(value: i64) -> Answer {
    Answer::Odometer { value: Exact::whole(value), unit: handsel_domain::units::DistanceUnit::Mile }
}

proptest! {
    /// The same state on both legs, whatever it is, costs nothing.
    #[test]
    fn same_state_no_lines(part in 0_u32..=12, of in 1_u32..=12, grade in 0_usize..4, pieces in 0_u32..9,
                           state in 0_usize..4, gross in 8300_i64..14_300, volts in 0_i64..1800) {
        prop_assume!(part <= of);
        let mut case = base();
        let grades = ["spotless", "lived_in", "dirty", "filthy"];
        let states = [CassetteState::EmptyRinsed, CassetteState::Empty, CassetteState::PartFull, CassetteState::Full];
        for leg in [false, true] {
            set(&mut case, leg, "odometer", odometer(30_000));
            set(&mut case, leg, "fuel_level", fuel(part, of));
            set(&mut case, leg, "clean_inside", Answer::Cleanliness { grade: grades[grade].into() });
            set(&mut case, leg, "outdoor_chairs", Answer::Count { pieces });
            set(&mut case, leg, "cassette", Answer::Cassette { state: states[state], dosed: leg });
            let thousandth = Exact::ratio(1, 1000).unwrap();
            let inspection = if leg { &mut case.return_ } else { &mut case.departure };
            for entry in &mut inspection.entries {
                match &mut entry.answer {
                    Answer::Cylinder(r) => r.gross_kg = thousandth.times(Exact::whole(gross)).unwrap(),
                    Answer::LeisureBattery(r) => r.volts = Exact::ratio(volts, 100).unwrap(),
                    _ => {}
                }
            }
        }
        let comparison = compare(&case, Lang::En).unwrap();
        prop_assert!(comparison.lines.is_empty(), "{:?}", comparison.lines);
        prop_assert_eq!(comparison.totals.undecided.minor, 0);
    }

    /// More missing never costs less.
    #[test]
    fn charges_rise_with_the_shortfall((of, one, other) in (1_u32..=16).prop_flat_map(|of| (Just(of), 0..=of, 0..=of))) {
        let (a, b) = (one.min(other), one.max(other));
        let mut more_missing = base();
        let mut less_missing = base();
        for case in [&mut more_missing, &mut less_missing] {
            set(case, false, "fuel_level", fuel(of, of));
        }
        set(&mut more_missing, true, "fuel_level", fuel(a, of));
        set(&mut less_missing, true, "fuel_level", fuel(b, of));
        prop_assert!(undecided(&more_missing) >= undecided(&less_missing));
    }

    /// Further never costs less, nor later.
    #[test]
    fn charges_rise_with_distance_and_lateness(a in 0_i64..5_000, b in 0_i64..5_000, s in 0_i64..400_000, t in 0_i64..400_000) {
        let (near, far) = (a.min(b), a.max(b));
        let (soon, late) = (s.min(t), s.max(t));
        let at = |distance: i64, seconds: i64| {
            let mut case = base();
            set(&mut case, true, "odometer", odometer(30_000 + distance));
            case.return_.handed_over_at = Some(case.hire.agreed_return.plus_seconds(seconds));
            undecided(&case)
        };
        prop_assert!(at(far, late) >= at(near, late));
        prop_assert!(at(far, late) >= at(far, soon));
    }

    /// Damage never costs more than the excess, nor one panel more than its refinish price, and every line's parts
    /// come to its amount.
    #[test]
    fn caps_hold(sizes in prop::collection::vec((1_u32..400, 0_usize..2, 0_usize..2), 0..12), excess in 0_i64..200_000) {
        let mut case = base();
        case.hire.excess = Money::new(excess, Currency::Gbp);
        let template: Case = case_check::parse(include_bytes!("../../../fixtures/cases/40_scratch_at_fair_wear.case.json")).unwrap();
        let pattern = template.return_.marks[0].clone();
        for (n, (size, panel, kind)) in (0_u128..).zip(&sizes) {
            let mut mark = pattern.clone();
            mark.id = handsel_domain::ids::MarkId(Uuid::from_u128(0xabc0 + n));
            mark.panel = ["nearside_wall", "rear_wall"][*panel].into();
            mark.kind = ["scratch", "dent"][*kind].into();
            mark.size_mm = *size;
            case.return_.marks.push(mark);
        }
        let comparison = compare(&case, Lang::En).unwrap();
        let mut total = 0;
        for panel in ["nearside wall", "rear wall"] {
            let lines = comparison.lines.iter().filter(|l| l.title.starts_with(panel));
            let on_panel: i64 = lines.map(|l| l.if_charged.minor).sum();
            prop_assert!(on_panel <= 45_000, "{on_panel} on {panel}");
            total += on_panel;
        }
        prop_assert!(total <= excess);
        for line in &comparison.lines {
            prop_assert_eq!(line.parts.iter().map(|p| p.amount.minor).sum::<i64>(), line.if_charged.minor);
            prop_assert!(!line.if_charged.is_negative());
            prop_assert!(line.amount.is_zero(), "nothing is charged that no person accepted");
        }
    }

    /// Taking tax out and putting the rest beside it loses and makes nothing; an amount split by share neither.
    #[test]
    fn money_is_never_made_or_lost(minor in 0_i64..9_000_000_000, rate in 0_i64..=100, parts in 1_i64..50) {
        let gross = Money::new(minor, Currency::Eur);
        let tax = gross.tax_inside(Exact::whole(rate)).unwrap();
        let net = gross.minus(tax).unwrap();
        prop_assert_eq!(net.plus(tax).unwrap(), gross);
        prop_assert!(!tax.is_negative() && tax.minor <= gross.minor);
        // Rounded once, the result is within half a minor unit of the exact one.
        let share = Exact::ratio(1, parts).unwrap();
        let rounded = Exact::whole(gross.times(share).unwrap().minor);
        let exact = Exact::whole(minor).times(share).unwrap();
        let off = rounded.minus(exact).unwrap();
        let half = Exact::ratio(1, 2).unwrap();
        prop_assert!(off <= half && Exact::ZERO.minus(off).unwrap() <= half);
    }

    /// A decimal is read and written without change.
    #[test]
    fn decimals_survive(whole in -999_999_999_i64..999_999_999, fraction in 0_u32..1_000_000) {
        let text = format!("{whole}.{fraction:06}");
        let value: Exact = text.parse().unwrap();
        let shown = value.show(6);
        prop_assert_eq!(shown.parse::<Exact>().unwrap(), value);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, ..ProptestConfig::default() })]

    /// Whatever is asked of a ledger, the sum over its accounts stays zero, nothing held goes below zero, and never is
    /// more captured than was held.
    #[test]
    fn a_ledger_sums_to_zero(asks in prop::collection::vec((0_usize..9, 0_usize..4, -50_i64..5_000), 0..60), owed in 0_i64..9_000) {
        let means = [Means::Card, Means::Cash, Means::Transfer, Means::None];
        let owed = Money::new(owed, Currency::Gbp);
        let mut ledger = Ledger::new(Currency::Gbp);
        let (mut placed, mut captured) = (0, 0);
        for (n, (kind, mean, amount)) in (0_u128..).zip(asks) {
            let movement = Movement {
                id: MovementId(Uuid::from_u128(n)),
                kind: MovementKind::ALL[kind],
                means: means[mean],
                amount: Money::new(amount, Currency::Gbp),
                reference: None,
                note: None,
                payer: None,
                hold_ends_at: None,
                at: "2026-06-13T12:00:00Z".parse::<Instant>().unwrap(),
            };
            let before = ledger.balances();
            match ledger.clone().post(&movement, Some(owed)) {
                Ok(after) => {
                    ledger = after;
                    match movement.kind {
                        MovementKind::HoldPlaced | MovementKind::HoldExtended => placed += amount,
                        MovementKind::Captured => captured += amount,
                        _ => {}
                    }
                }
                Err(_) => prop_assert_eq!(before, ledger.balances(), "a refused movement changes nothing"),
            }
            let balances = ledger.balances();
            prop_assert!(balances.sum().unwrap().is_zero());
            prop_assert!(!balances.held.is_negative() && !balances.received.is_negative());
            prop_assert!(captured <= placed);
            prop_assert!(balances.received.minor + balances.written_off.minor <= owed.minor);
        }
    }
}

#[test]
fn a_second_answer_replaces_the_first_and_both_are_kept() {
    let mut case = base();
    let mut again = case.return_.entries[1].clone();
    again.id = EntryId(Uuid::from_u128(77));
    again.answer = fuel(4, 8);
    case.return_.entries.push(again);
    let comparison = compare(&case, Lang::En).unwrap();
    let line = comparison.lines.iter().find(|l| l.key == "fuel").unwrap_or_else(|| panic!("no fuel line"));
    assert_eq!(line.price.unwrap().minor, 45 * 189 + 2500);
}
