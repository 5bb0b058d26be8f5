//! What a language has to be able to say. A new language is one more file that implements this.

use crate::case::OdometerReplacement;
use crate::charges::Missed;
use crate::evidence::EvidenceKind;
use crate::exact::Exact;
use crate::inspection::{
    Answer, BatteryReading, CassetteState, Condition, CylinderReading, Depth, Leg, RepeatOf, SignatureRole,
};
use crate::money::Money;
use crate::photo::{PhotoAdvice, PointersState};
use crate::readings::battery::{Charge, Chemistry};
use crate::tariff::ItemPrice;
use crate::time::{Date, Instant, Zone};
use crate::units::DistanceUnit;

/// Sentences and names. Numbers come in exact; the language decides how they look.
pub trait Words: Sync {
    // Answers and states.
    fn answer(&self, answer: &Answer) -> String;
    fn condition(&self, state: Condition) -> String;
    fn mark(&self, size_mm: u32, depth: Depth) -> String;
    fn mark_title(&self, panel: &str, kind: &str) -> String;
    fn gas_weights(&self, readings: &[CylinderReading], gas: Exact) -> String;

    // General findings.
    fn no_departure_record(&self, title: &str) -> String;
    fn no_return_record(&self, title: &str) -> String;
    fn no_baseline(&self) -> String;
    fn not_priced(&self) -> String;
    fn shown_only(&self) -> String;
    fn note(&self, note: &str) -> String;
    fn clocks_apart(&self, leg: Leg, device_minus_server_seconds: i64) -> String;

    // Distance and time.
    fn moment(&self, zone: Zone, at: Instant) -> String;
    fn distance_driven(&self, driven: Exact, unit: DistanceUnit) -> String;
    fn odometer_replaced(&self, replacement: &OdometerReplacement) -> String;
    fn distance_allowance(&self, per_day: Exact, days: u32, allowance: Exact, unit: DistanceUnit) -> String;
    fn distance_unlimited(&self) -> String;
    fn distance_excess(&self, driven: Exact, allowance: Exact, excess: Exact, unit: DistanceUnit) -> String;
    fn on_time(&self, seconds: i64, grace_minutes: u32) -> String;
    fn late_by(&self, seconds: i64, grace_minutes: u32) -> String;
    fn late_days(&self, days: u32, each: Money) -> String;
    fn late_hours(&self, hours: u32, hourly: Money, daily: Money, amount: Money) -> String;

    // Fuel and gas.
    fn fuel_surplus(&self, shortfall_litres: Exact) -> String;
    fn fuel_shortfall(&self, before: &str, after: &str, tank: Exact, litres: Exact) -> String;
    fn within_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String;
    fn beyond_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String;
    fn gas_used(&self, out: Exact, back: Exact, used: Exact) -> String;
    fn gas_certainty(&self, used: Exact, uncertainty: f64, beyond: bool) -> String;
    fn gas_energy(&self, left: Exact, kwh: Exact, burns: &[(&str, Exact)]) -> String;
    fn gas_included(&self) -> String;
    fn gas_refill(&self, share: Exact, threshold: Exact, left: Exact, uncertainty: f64, below: bool) -> String;
    fn gas_went_out_low(&self, threshold: Exact, out: Exact) -> String;

    // Battery, waters, cassette, cleanliness, kit.
    fn battery(&self, chemistry: Chemistry, reading: &BatteryReading, charge: &Charge) -> String;
    fn cassette(&self, out: CassetteState, back: CassetteState) -> String;
    fn cassette_not_charged(&self, out: CassetteState, back: CassetteState) -> String;
    fn fresh_water_shown(&self) -> String;
    fn waste_undrained(&self) -> String;
    fn waste_not_charged(&self) -> String;
    fn cleanliness(&self, before: &str, after: &str, steps: i64) -> String;
    fn pieces_missing(&self, went: u32, came: u32, lost: u32) -> String;
    fn more_pieces(&self, went: u32, came: u32) -> String;
    fn value_on_the_day(&self, price: &ItemPrice, acquired: Option<Date>, on: Date, share: Exact) -> String;

    // Damage.
    fn condition_changed(&self, before: &str, after: &str) -> String;
    fn not_in_register(&self) -> String;
    fn new_mark(&self, size_mm: u32) -> String;
    fn fair_wear(&self, size_mm: u32, up_to_mm: u32) -> String;
    fn registered(&self, old_mm: u32, new_mm: u32) -> String;
    fn grown(&self, old_mm: u32, new_mm: u32) -> String;
    fn damage_price(&self, group: &str, kind: &str, band: &str, amount: Money) -> String;
    fn damage_step(&self, group: &str, kind: &str, old: Money, new: Money, step: Money) -> String;
    fn estimate_open(&self) -> String;
    fn outside_excess(&self) -> String;

    // Titles of lines.
    fn title_distance(&self) -> String;
    fn title_lateness(&self) -> String;
    fn title_fuel(&self) -> String;
    fn title_lpg(&self) -> String;
    fn title_cassette(&self) -> String;
    fn title_waste(&self) -> String;

    // Parts of lines.
    fn part_distance(&self) -> String;
    fn part_late_days(&self) -> String;
    fn part_late_hours(&self) -> String;
    fn part_daily_cap(&self, daily: Money) -> String;
    fn part_fuel(&self) -> String;
    fn part_refuelling(&self) -> String;
    fn part_gas(&self) -> String;
    fn part_refill(&self) -> String;
    fn part_cassette(&self) -> String;
    fn part_waste(&self) -> String;
    fn part_cleaning(&self) -> String;
    fn part_inventory(&self, lost: u32, share: Exact) -> String;
    fn part_damage(&self) -> String;
    fn part_repair(&self) -> String;
    fn part_estimate(&self) -> String;
    fn part_adjusted(&self) -> String;
    fn part_panel_cap(&self, refinish: Money) -> String;
    fn part_excess_cap(&self, excess: Money) -> String;
    fn part_as_accepted(&self, accepted: Money) -> String;
    fn unit_days(&self) -> String;
    fn unit_hours(&self) -> String;
    fn unit_steps(&self) -> String;

    // Evidence.
    fn evidence(&self, kind: EvidenceKind, present: bool) -> String;
    fn evidence_briefing(&self, missed: &[&str]) -> String;
    fn evidence_repeated(&self, whose: RepeatOf) -> String;
    fn evidence_awaited(&self, kind: EvidenceKind) -> String;

    // Photographs.
    fn photo_advice(&self, advice: PhotoAdvice) -> String;
    fn photo_repeated(&self, whose: RepeatOf) -> String;
    fn pointers(&self, state: PointersState, count: usize) -> String;

    // What stands before a signature.
    fn gate_handed_over(&self, leg: Leg) -> String;
    fn gate_viewpoint(&self, title: &str) -> String;
    fn gate_checkpoint(&self, title: &str) -> String;
    fn gate_photo(&self, title: &str) -> String;
    fn gate_item(&self, title: &str) -> String;
    fn gate_conflict(&self, title: &str) -> String;
    fn gate_briefing(&self, title: &str, why: Missed) -> String;
    fn gate_signature(&self, role: SignatureRole, leg: Leg) -> String;
}
