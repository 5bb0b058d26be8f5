//! English.

use super::numbers::hours_minutes;
use super::speak::Words;
use crate::case::OdometerReplacement;
use crate::charges::Missed;
use crate::evidence::EvidenceKind;
use crate::exact::Exact;
use crate::inspection::{
    Answer, BatteryReading, CassetteState, Condition, CylinderReading, Depth, Leg, Level, RepeatOf, SignatureRole,
};
use crate::money::Money;
use crate::photo::{PhotoAdvice, PointersState};
use crate::readings::battery::{Charge, Chemistry};
use crate::shown;
use crate::tariff::ItemPrice;
use crate::text::Lang;
use crate::time::{Date, Instant, Zone};
use crate::units::DistanceUnit;

pub(super) struct English;

fn n(value: Exact, places: u32) -> String {
    shown::number(value, places, Lang::En)
}

fn m(value: Money) -> String {
    shown::money(value, Lang::En)
}

fn u(value: f64) -> String {
    shown::approx(value, 2, Lang::En)
}

fn level(level: Level) -> String {
    match level {
        Level::Gauge { part, of } => format!("{part}/{of}"),
        Level::Percent { value, .. } => format!("{}\u{a0}%", n(value, 1)),
    }
}

fn span(seconds: i64) -> String {
    match hours_minutes(seconds) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

fn cassette_state(state: CassetteState) -> &'static str {
    match state {
        CassetteState::EmptyRinsed => "empty and rinsed",
        CassetteState::Empty => "empty",
        CassetteState::PartFull => "part full",
        CassetteState::Full => "full",
    }
}

fn leg_name(leg: Leg) -> &'static str {
    match leg {
        Leg::Departure => "departure",
        Leg::Return => "return",
        Leg::Interim => "interim check",
    }
}

fn chemistry_name(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "flooded lead-acid",
        Chemistry::Agm => "AGM lead-acid",
        Chemistry::Gel => "gel lead-acid",
        Chemistry::Lifepo4 => "LiFePO4",
    }
}

fn plural(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn pieces(count: u32) -> String {
    plural(count, "piece", "pieces")
}

fn kind_name(kind: &str) -> String {
    kind.replace('_', " ")
}

impl Words for English {
    fn answer(&self, answer: &Answer) -> String {
        match answer {
            Answer::Condition { state } => self.condition(*state),
            Answer::Odometer { value, unit } => format!("{} {}", n(*value, 1), unit.symbol()),
            Answer::Fuel { level: l } => level(*l),
            Answer::Cylinder(r) => format!("{} kg gross, {} kg tare", n(r.gross_kg, 3), n(r.tare_kg, 3)),
            Answer::LeisureBattery(r) => format!("{} V after {} min at rest", n(r.volts, 2), r.minutes_at_rest),
            Answer::StarterBattery { volts, .. } => format!("{} V", n(*volts, 2)),
            Answer::Water { level: l, drained } => {
                if *drained {
                    "drained".into()
                } else {
                    level(*l)
                }
            }
            Answer::Cassette { state, dosed } => {
                format!("{}, {}", cassette_state(*state), if *dosed { "dosed" } else { "not dosed" })
            }
            Answer::Tread { mm, .. } => format!("{} mm", n(*mm, 1)),
            Answer::Keys { pieces: p } => plural(*p, "key", "keys"),
            Answer::Cleanliness { grade } => kind_name(grade),
            Answer::Count { pieces: p } => pieces(*p),
        }
    }

    fn condition(&self, state: Condition) -> String {
        match state {
            Condition::InOrder => "in order",
            Condition::NeedsAttention => "needs attention",
            Condition::Missing => "missing",
            Condition::NotChecked => "not checked",
        }
        .into()
    }

    fn mark(&self, size_mm: u32, depth: Depth) -> String {
        let depth = match depth {
            Depth::Surface => "on the surface",
            Depth::ThroughFinish => "through the finish",
            Depth::Deformed => "deformed",
            Depth::Through => "right through",
        };
        format!("{size_mm} mm, {depth}")
    }

    fn mark_title(&self, panel: &str, kind: &str) -> String {
        format!("{panel}: {}", kind_name(kind))
    }

    fn gas_weights(&self, readings: &[CylinderReading], gas: Exact) -> String {
        let each: Vec<String> =
            readings.iter().map(|r| format!("{} − {}", n(r.gross_kg, 3), n(r.tare_kg, 3))).collect();
        format!("{} = {} kg of gas", each.join(" + "), n(gas, 3))
    }

    fn no_departure_record(&self, title: &str) -> String {
        format!("Departure has no record of this ({title}), so there is nothing to compare the return with.")
    }

    fn no_return_record(&self, title: &str) -> String {
        format!("Return has no record of this ({title}).")
    }

    fn no_baseline(&self) -> String {
        "No baseline: nothing is charged.".into()
    }

    fn not_priced(&self) -> String {
        "The tariff has no price for this, so nothing is proposed.".into()
    }

    fn shown_only(&self) -> String {
        "Recorded and shown; it charges nobody.".into()
    }

    fn note(&self, note: &str) -> String {
        format!("Noted at return: {note}")
    }

    fn clocks_apart(&self, leg: Leg, seconds: i64) -> String {
        let way = if seconds > 0 { "ahead of" } else { "behind" };
        format!("At {}, the device's clock was {} {way} the server's.", leg_name(leg), span(seconds))
    }

    fn moment(&self, zone: Zone, at: Instant) -> String {
        shown::moment(zone, at, Lang::En)
    }

    fn distance_driven(&self, driven: Exact, unit: DistanceUnit) -> String {
        format!("Driven: return minus departure = {} {}.", n(driven, 3), unit.symbol())
    }

    fn odometer_replaced(&self, r: &OdometerReplacement) -> String {
        let unit = r.unit.symbol();
        format!(
            "The odometer was replaced during the hire: the old one ended at {} {unit}, the new one began at {} {unit} ({}).",
            n(r.old_last, 1),
            n(r.new_first, 1),
            r.reason
        )
    }

    fn distance_allowance(&self, per_day: Exact, days: u32, allowance: Exact, unit: DistanceUnit) -> String {
        let unit = unit.symbol();
        format!(
            "Allowance: {} {unit} a day × {} = {} {unit}.",
            n(per_day, 3),
            plural(days, "hire day", "hire days"),
            n(allowance, 3)
        )
    }

    fn distance_unlimited(&self) -> String {
        "Distance is unlimited.".into()
    }

    fn distance_excess(&self, driven: Exact, allowance: Exact, excess: Exact, unit: DistanceUnit) -> String {
        let unit = unit.symbol();
        format!("Beyond the allowance: {} − {} = {} {unit}.", n(driven, 3), n(allowance, 3), n(excess, 3))
    }

    fn on_time(&self, seconds: i64, grace_minutes: u32) -> String {
        if seconds <= 0 {
            format!("Back {} before the agreed time.", span(seconds))
        } else {
            format!("Back {} after the agreed time, within the grace period of {grace_minutes} min.", span(seconds))
        }
    }

    fn late_by(&self, seconds: i64, grace_minutes: u32) -> String {
        format!(
            "Back {} after the agreed time, past the grace period of {grace_minutes} min; the whole lateness counts, in real elapsed time.",
            span(seconds)
        )
    }

    fn late_days(&self, days: u32, each: Money) -> String {
        format!("{} of 24 elapsed hours at {} each.", plural(days, "period", "periods"), m(each))
    }

    fn late_hours(&self, hours: u32, hourly: Money, daily: Money, total: Money) -> String {
        format!(
            "{} at {} each, at most the daily rate of {}: {}.",
            plural(hours, "begun hour", "begun hours"),
            m(hourly),
            m(daily),
            m(total)
        )
    }

    fn fuel_surplus(&self, shortfall: Exact) -> String {
        let surplus = Exact::ZERO.minus(shortfall).unwrap_or(Exact::ZERO);
        format!("Came back with {} l more than it left with: shown, not credited.", n(surplus, 2))
    }

    fn fuel_shortfall(&self, before: &str, after: &str, tank: Exact, litres: Exact) -> String {
        format!("({before} − {after}) × {} l tank = {} l missing.", n(tank, 1), n(litres, 3))
    }

    fn within_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String {
        format!(
            "{} l is within what the instruments can tell (±{} l): nothing is proposed.",
            n(litres, 3),
            u(uncertainty)
        )
    }

    fn beyond_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String {
        format!(
            "{} l is more than the ±{} l the gauges leave open, so the whole shortfall counts.",
            n(litres, 3),
            u(uncertainty)
        )
    }

    fn gas_used(&self, out: Exact, back: Exact, used: Exact) -> String {
        format!("Gas used: {} − {} = {} kg.", n(out, 3), n(back, 3), n(used, 3))
    }

    fn gas_certainty(&self, used: Exact, uncertainty: f64, beyond: bool) -> String {
        if beyond {
            format!("{} kg is more than the ±{} kg the scales leave open.", n(used, 3), u(uncertainty))
        } else {
            format!("{} kg is within what the scales can tell (±{} kg).", n(used, 3), u(uncertainty))
        }
    }

    fn gas_energy(&self, left: Exact, kwh: Exact, burns: &[(&str, Exact)]) -> String {
        let mut text = format!("What is left ({} kg) holds about {} kWh", n(left, 3), n(kwh, 1));
        for (index, (name, hours)) in burns.iter().enumerate() {
            text.push_str(if index == 0 { ": " } else { ", " });
            text.push_str(&format!("{name} about {} h", n(*hours, 1)));
        }
        text.push('.');
        text
    }

    fn gas_included(&self) -> String {
        "Gas is included in the hire.".into()
    }

    fn gas_refill(&self, share: Exact, threshold: Exact, left: Exact, uncertainty: f64, below: bool) -> String {
        let percent = n(share.times(Exact::whole(100)).unwrap_or(share), 1);
        let verdict = if below {
            format!("{} kg is below that by more than the scale's ±{} kg", n(left, 3), u(uncertainty))
        } else {
            format!("{} kg is not below that by more than the scale's ±{} kg", n(left, 3), u(uncertainty))
        };
        format!(
            "A refill is due when less than {percent}\u{a0}% of the net fill ({} kg) is left: {verdict}.",
            n(threshold, 3)
        )
    }

    fn gas_went_out_low(&self, threshold: Exact, out: Exact) -> String {
        format!("It went out with {} kg, already below {} kg, so no refill is charged.", n(out, 3), n(threshold, 3))
    }

    fn battery(&self, chemistry: Chemistry, reading: &BatteryReading, charge: &Charge) -> String {
        let name = chemistry_name(chemistry);
        match charge {
            Charge::NotAtRest { wanted_minutes } => format!(
                "Not at rest: {} of the {wanted_minutes} minutes without charge or load that a {name} battery needs; no conclusion.",
                reading.minutes_at_rest
            ),
            Charge::NoTable => format!("No published table relates voltage and charge for {name}; no conclusion."),
            Charge::Between { low, high, harm } => {
                let mut text = format!(
                    "{} V at rest on a {name} battery: somewhere between {}\u{a0}% and {}\u{a0}% charged",
                    n(reading.volts, 2),
                    n(*low, 0),
                    n(*high, 0)
                );
                text.push_str(if *harm {
                    ", wholly below the level that harms it. For the office to look at; a battery charges nobody by itself."
                } else if chemistry == Chemistry::Lifepo4 {
                    "; its curve is flat, and voltage cannot tell more."
                } else {
                    "."
                });
                text
            }
        }
    }

    fn cassette(&self, out: CassetteState, back: CassetteState) -> String {
        format!("Went out {}, came back {}: the emptying fee is due.", cassette_state(out), cassette_state(back))
    }

    fn cassette_not_charged(&self, out: CassetteState, back: CassetteState) -> String {
        format!("Went out {}, came back {}: no fee is due.", cassette_state(out), cassette_state(back))
    }

    fn fresh_water_shown(&self) -> String {
        "Fresh water is shown and charges nobody.".into()
    }

    fn waste_undrained(&self) -> String {
        "Went out drained, came back undrained: the draining fee is due.".into()
    }

    fn waste_not_charged(&self) -> String {
        "Came back undrained, but it was not drained when it went out: no fee is due.".into()
    }

    fn cleanliness(&self, before: &str, after: &str, steps: i64) -> String {
        format!("From “{before}” to “{after}”: {steps} {} worse.", if steps == 1 { "step" } else { "steps" })
    }

    fn pieces_missing(&self, went: u32, came: u32, lost: u32) -> String {
        format!("{} went out, {came} came back: {lost} missing.", pieces(went))
    }

    fn more_pieces(&self, went: u32, came: u32) -> String {
        format!("{} went out, {came} came back: shown, not credited.", pieces(went))
    }

    fn value_on_the_day(&self, price: &ItemPrice, acquired: Option<Date>, on: Date, share: Exact) -> String {
        let percent = n(share.times(Exact::whole(100)).unwrap_or(share), 2);
        match acquired {
            Some(bought) => {
                let months = crate::time::whole_months(bought, on);
                format!(
                    "Value on the day: {} new, {} of a service life of {} months (bought {}), never under {}\u{a0}%: {percent}\u{a0}%.",
                    m(price.price),
                    plural(months, "whole month", "whole months"),
                    price.service_life_months,
                    bought.0.format("%-d %B %Y"),
                    n(price.floor.times(Exact::whole(100)).unwrap_or(price.floor), 2)
                )
            }
            None => format!(
                "Value on the day: {} new; no date of purchase is recorded, so the lowest value counts: {percent}\u{a0}%.",
                m(price.price)
            ),
        }
    }

    fn condition_changed(&self, before: &str, after: &str) -> String {
        if before.is_empty() {
            format!("At return: {after}.")
        } else {
            format!("At departure: {before}. At return: {after}.")
        }
    }

    fn not_in_register(&self) -> String {
        "not in the register".into()
    }

    fn new_mark(&self, size_mm: u32) -> String {
        format!("Not in the damage register when the vehicle left; {size_mm} mm.")
    }

    fn fair_wear(&self, size_mm: u32, up_to_mm: u32) -> String {
        format!("{size_mm} mm: up to {up_to_mm} mm of this counts as wear; nothing is due.")
    }

    fn registered(&self, old_mm: u32, new_mm: u32) -> String {
        format!("In the register before departure ({old_mm} mm, now {new_mm} mm): nothing is due.")
    }

    fn grown(&self, old_mm: u32, new_mm: u32) -> String {
        format!("In the register with {old_mm} mm, now {new_mm} mm: only the step between the two sizes counts.")
    }

    fn damage_price(&self, group: &str, kind: &str, band: &str, price: Money) -> String {
        format!("Tariff: {}, {}, {} = {}.", kind_name(group), kind_name(kind), kind_name(band), m(price))
    }

    fn damage_step(&self, group: &str, kind: &str, old: Money, new: Money, step: Money) -> String {
        let what = format!("{}, {}", kind_name(group), kind_name(kind));
        format!("Tariff: {what}: {} at the new size − {} at the old one = {}.", m(new), m(old), m(step))
    }

    fn estimate_open(&self) -> String {
        "Open until an estimate is entered; the deposit is not released meanwhile.".into()
    }

    fn outside_excess(&self) -> String {
        "The agreement leaves this outside the excess: the cap does not apply.".into()
    }

    fn title_distance(&self) -> String {
        "Distance beyond the allowance".into()
    }
    fn title_lateness(&self) -> String {
        "Time of return".into()
    }
    fn title_fuel(&self) -> String {
        "Missing fuel".into()
    }
    fn title_lpg(&self) -> String {
        "Gas".into()
    }
    fn title_cassette(&self) -> String {
        "Emptying the toilet cassette".into()
    }
    fn title_waste(&self) -> String {
        "Draining the waste water".into()
    }

    fn part_distance(&self) -> String {
        "Distance beyond the allowance".into()
    }
    fn part_late_days(&self) -> String {
        "Late, full 24 hours".into()
    }
    fn part_late_hours(&self) -> String {
        "Late, begun hours".into()
    }
    fn part_daily_cap(&self, daily: Money) -> String {
        format!("At most the daily rate of {}", m(daily))
    }
    fn part_fuel(&self) -> String {
        "Fuel".into()
    }
    fn part_refuelling(&self) -> String {
        "Refuelling fee".into()
    }
    fn part_gas(&self) -> String {
        "Gas used".into()
    }
    fn part_refill(&self) -> String {
        "Refill".into()
    }
    fn part_cassette(&self) -> String {
        "Emptying and rinsing".into()
    }
    fn part_waste(&self) -> String {
        "Draining".into()
    }
    fn part_cleaning(&self) -> String {
        "Cleaning, for each step".into()
    }
    fn part_inventory(&self, lost: u32, share: Exact) -> String {
        let percent = n(share.times(Exact::whole(100)).unwrap_or(share), 2);
        format!("{} at {percent}\u{a0}% of the price", pieces(lost))
    }
    fn part_damage(&self) -> String {
        "Repair by the tariff".into()
    }
    fn part_repair(&self) -> String {
        "Putting right".into()
    }
    fn part_estimate(&self) -> String {
        "Estimate, as entered".into()
    }
    fn part_adjusted(&self) -> String {
        "Adjusted by the office".into()
    }
    fn part_panel_cap(&self, refinish: Money) -> String {
        format!("Marks on one panel cost at most {}", m(refinish))
    }
    fn part_excess_cap(&self, excess: Money) -> String {
        format!("Damage costs at most the agreed excess of {}", m(excess))
    }
    fn part_as_accepted(&self, accepted: Money) -> String {
        format!("Accepted at {}; not raised since", m(accepted))
    }
    fn unit_days(&self) -> String {
        "× 24 h".into()
    }
    fn unit_hours(&self) -> String {
        "h".into()
    }
    fn unit_steps(&self) -> String {
        "steps".into()
    }

    fn evidence(&self, kind: EvidenceKind, present: bool) -> String {
        match (kind, present) {
            (EvidenceKind::DepartureRecord, true) => "Recorded at departure",
            (EvidenceKind::DepartureRecord, false) => "Not recorded at departure",
            (EvidenceKind::DeparturePhoto, true) => "Photograph of the same viewpoint from before the signature",
            (EvidenceKind::DeparturePhoto, false) => "No photograph of the same viewpoint from before the signature",
            (EvidenceKind::HirerSignedDeparture, true) => "Hirer signed the departure",
            (EvidenceKind::HirerSignedDeparture, false) => "Hirer did not sign the departure",
            (EvidenceKind::ReturnRecord, true) => "Recorded at return",
            (EvidenceKind::ReturnRecord, false) => "Not recorded at return",
            (EvidenceKind::ReturnPhoto, true) => "Photograph at return",
            (EvidenceKind::ReturnPhoto, false) => "No photograph at return",
            (EvidenceKind::ReturnSigned, true) => "Return signed, or the hirer's absence noted",
            (EvidenceKind::ReturnSigned, false) => "Return neither signed nor the hirer's absence noted",
            (EvidenceKind::ReturnPhotoOwn, true) => "Return photograph taken for this return",
            (EvidenceKind::ReturnPhotoOwn, false) => "Return photograph is an earlier one again",
            (EvidenceKind::ReadingPhoto, true) => "Readings photographed at departure and at return",
            (EvidenceKind::ReadingPhoto, false) => "A photograph of the reading is missing, at departure or at return",
            (EvidenceKind::Briefing, true) => "Hirer was shown what this depends on",
            (EvidenceKind::Briefing, false) => "Hirer was not shown what this depends on",
        }
        .into()
    }

    fn evidence_briefing(&self, missed: &[&str]) -> String {
        if missed.is_empty() {
            self.evidence(EvidenceKind::Briefing, true)
        } else {
            format!("Briefing due and missed: {}", missed.join("; "))
        }
    }

    fn evidence_repeated(&self, whose: RepeatOf) -> String {
        match whose {
            RepeatOf::Departure => "The return photograph is the departure's again",
            RepeatOf::OtherVehicle => "The return photograph was sent before, of another vehicle",
        }
        .into()
    }

    fn evidence_awaited(&self, kind: EvidenceKind) -> String {
        format!("{}: announced, not yet arrived", self.evidence(kind, true))
    }

    fn photo_repeated(&self, whose: RepeatOf) -> String {
        match whose {
            RepeatOf::Departure => "This is the departure's photograph again",
            RepeatOf::OtherVehicle => "This photograph was sent before, of another vehicle",
        }
        .into()
    }

    fn photo_advice(&self, advice: PhotoAdvice) -> String {
        match advice {
            PhotoAdvice::Blurred => "It looks blurred. Hold still and take it again, if you can.",
            PhotoAdvice::TooDark => "It is too dark to judge by. Put light on it and take it again, if you can.",
            PhotoAdvice::TooBright => "Much of it is burnt out. Turn away from the light and take it again, if you can.",
            PhotoAdvice::NotTheViewpoint => {
                "It could not be laid over the departure's photograph. Stand where that was taken and try again, if you can."
            }
        }
        .into()
    }

    fn pointers(&self, state: PointersState, count: usize) -> String {
        match state {
            PointersState::Waiting => "The photograph is still being compared with the departure's.".into(),
            PointersState::NothingToCompare => "There is no departure photograph to compare this one with.".into(),
            PointersState::Aligned if count == 0 => {
                "Nothing stands out against the departure's photograph. Look for yourself all the same: this is a help, not a check.".into()
            }
            PointersState::Aligned => format!(
                "{} worth a look. Pointers are for a person to judge; they never charge anybody.",
                plural(u32::try_from(count).unwrap_or(u32::MAX), "place", "places")
            ),
            PointersState::NotAligned => {
                "This photograph and the departure's could not be laid over each other, so nothing is pointed at. Compare them by eye.".into()
            }
            PointersState::Failed => "The comparison did not come about. Compare the two photographs by eye.".into(),
        }
    }

    fn gate_handed_over(&self, leg: Leg) -> String {
        match leg {
            Leg::Return => "When the vehicle came back is not entered".into(),
            _ => "When the vehicle was handed over is not entered".into(),
        }
    }
    fn gate_viewpoint(&self, title: &str) -> String {
        format!("No photograph: {title}")
    }
    fn gate_checkpoint(&self, title: &str) -> String {
        format!("Not answered: {title}")
    }
    fn gate_photo(&self, title: &str) -> String {
        format!("Photograph of the reading missing: {title}")
    }
    fn gate_item(&self, title: &str) -> String {
        format!("Not counted: {title}")
    }
    fn gate_conflict(&self, title: &str) -> String {
        format!("Two answers stand side by side: {title}")
    }
    fn gate_briefing(&self, title: &str, why: Missed) -> String {
        match why {
            Missed::AcknowledgedUnshown => format!("Acknowledged without having been shown: {title}"),
            Missed::NotAcknowledged | Missed::Overridden => format!("Not acknowledged by the hirer: {title}"),
        }
    }
    fn gate_signature(&self, role: SignatureRole, leg: Leg) -> String {
        match (role, leg) {
            (SignatureRole::Hirer, Leg::Return) => "The hirer has not signed, and is not noted as absent".into(),
            (SignatureRole::Hirer, _) => "The hirer has not signed".into(),
            (SignatureRole::Staff, _) => "Staff have not signed".into(),
        }
    }
}
