//! Lines and findings from readings (rules 3 and 4).

use super::context::{Cause, Context, Proof, Proposal, exact, money};
use crate::case_check::CaseProblem;
use crate::charges::{Outcome, Part};
use crate::exact::Exact;
use crate::inspection::{Answer, CylinderReading, Entry};
use crate::measure;
use crate::money::Money;
use crate::readings::{battery as battery_rule, cassette as cassette_rule, cleanliness as clean_rule};
use crate::readings::{distance as distance_rule, fuel as fuel_rule, lpg as lpg_rule};
use crate::tariff::{LpgCharge, RuleKind, Tax};
use crate::template::{Area, Ask, Checkpoint, WaterTank};
use crate::time;

/// The first checkpoint that asks for something, with the departure's and the return's answers.
fn asked<'a>(
    c: &Context<'a>,
    wanted: impl Fn(&Ask) -> bool,
) -> Option<(&'a Checkpoint, Option<&'a Entry>, Option<&'a Entry>)> {
    let checkpoint = c.checkpoints().into_iter().find(|p| wanted(&p.ask))?;
    let (out, back) = c.pair(&checkpoint.key);
    Some((checkpoint, out, back))
}

fn show(c: &Context<'_>, entry: Option<&Entry>) -> String {
    entry.map(|e| c.w.answer(&e.answer)).unwrap_or_default()
}

/// Writes the finding for a thing only one leg, or none, recorded. A missing baseline also becomes a line at zero.
fn one_sided(
    c: &mut Context<'_>,
    key: &str,
    checkpoint: &Checkpoint,
    entries: (Option<&Entry>, Option<&Entry>),
    rule: Option<(RuleKind, Tax)>,
) -> Result<(), CaseProblem> {
    let title = checkpoint.title.get(c.lang).to_owned();
    let (out, back) = entries;
    let (before, after) = (show(c, out), show(c, back));
    match (out, back) {
        (None, Some(_)) => {
            let words = vec![c.w.no_departure_record(&title)];
            c.finding(key, &title, Outcome::NoBaseline, before, after, words.clone());
            if let Some((rule, tax)) = rule {
                c.propose(Proposal {
                    key: key.to_owned(),
                    rule,
                    title,
                    tax,
                    parts: Some(Vec::new()),
                    because: words,
                    baseline: false,
                    outside_excess: false,
                    cause: Cause { checkpoint: Some(checkpoint.key.clone()), ..Cause::default() },
                    proof: Proof::Entries { checkpoints: vec![checkpoint.key.clone()], photo: true },
                    panel: None,
                })?;
            }
        }
        (Some(_), None) => {
            let words = vec![c.w.no_return_record(&title)];
            c.finding(key, &title, Outcome::NotRecorded, before, after, words);
        }
        _ => {}
    }
    Ok(())
}

fn reading_line(
    key: &str,
    rule: RuleKind,
    title: &str,
    tax: Tax,
    checkpoints: &[&Checkpoint],
    parts: Vec<Part>,
    because: Vec<String>,
) -> Proposal {
    Proposal {
        key: key.to_owned(),
        rule,
        title: title.to_owned(),
        tax,
        parts: Some(parts),
        because,
        baseline: true,
        outside_excess: false,
        cause: Cause { checkpoint: checkpoints.first().map(|p| p.key.clone()), ..Cause::default() },
        proof: Proof::Entries { checkpoints: checkpoints.iter().map(|p| p.key.clone()).collect(), photo: true },
        panel: None,
    }
}

pub(super) fn distance(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::Odometer)) else { return Ok(()) };
    let rule = c.case.tariff.distance.clone();
    let key = "distance";
    let (Some(out_entry), Some(back_entry)) = (out, back) else {
        return one_sided(c, key, checkpoint, (out, back), rule.map(|r| (RuleKind::Distance, r.tax)));
    };
    let (Answer::Odometer { value: from, unit: from_unit }, Answer::Odometer { value: to, unit: to_unit }) =
        (&out_entry.answer, &back_entry.answer)
    else {
        return Ok(());
    };
    let driven = distance_rule::driven((*from, *from_unit), (*to, *to_unit), c.case.odometer_replacement.as_ref())
        .map_err(|e| CaseProblem { path: format!("return.entries ({})", checkpoint.key), message: e.to_string() })?;
    let title = checkpoint.title.get(c.lang).to_owned();
    let (before, after) = (show(c, out), show(c, back));
    let days = time::hire_days(c.case.depot.zone, c.case.hire.agreed_departure, c.case.hire.due_back());
    let Some(rule) = rule else {
        let words = vec![c.w.distance_driven(driven, *from_unit)];
        c.finding(key, &title, Outcome::Unchanged, before, after, words);
        return Ok(());
    };
    let sum = distance_rule::excess(&rule, driven, *from_unit, days).map_err(|e| exact(key, e))?;
    let mut words = vec![c.w.distance_driven(sum.driven, rule.unit)];
    if let Some(replacement) = &c.case.odometer_replacement {
        words.push(c.w.odometer_replaced(replacement));
    }
    match (sum.allowance, rule.allowance_per_day) {
        (Some(allowance), Some(per_day)) => words.push(c.w.distance_allowance(per_day, days, allowance, rule.unit)),
        _ => words.push(c.w.distance_unlimited()),
    }
    if !sum.excess.is_positive() {
        c.finding(key, &title, Outcome::Unchanged, before, after, words);
        return Ok(());
    }
    words.push(c.w.distance_excess(sum.driven, sum.allowance.unwrap_or(Exact::ZERO), sum.excess, rule.unit));
    c.finding(key, &title, Outcome::Exceeded, before, after, words.clone());
    let part = c.part(key, c.w.part_distance(), sum.excess, rule.unit.symbol(), rule.rate)?;
    let line_title = c.w.title_distance();
    c.propose(reading_line(key, RuleKind::Distance, &line_title, rule.tax, &[checkpoint], vec![part], words))
}

pub(super) fn lateness(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let key = "lateness";
    let zone = c.case.depot.zone;
    let agreed = c.case.hire.due_back();
    let title = c.w.title_lateness();
    let before = c.w.moment(zone, agreed);
    let Some(back) = c.case.return_.handed_over_at else {
        let words = vec![c.w.no_return_record(&title)];
        c.finding(key, &title, Outcome::NotRecorded, before, String::new(), words);
        return Ok(());
    };
    let after = c.w.moment(zone, back);
    let seconds = back.seconds_since(agreed);
    let Some(rule) = c.case.tariff.lateness.clone() else { return Ok(()) };
    let Some(late) = time::lateness(agreed, back, rule.grace_minutes) else {
        let words = vec![c.w.on_time(seconds, rule.grace_minutes)];
        c.finding(key, &title, Outcome::Unchanged, before, after, words);
        return Ok(());
    };
    let daily_for_hours = |hours: u32| -> Result<Money, CaseProblem> {
        let by_hour = rule.hourly.times(Exact::whole(i64::from(hours))).map_err(|e| money(key, e))?;
        by_hour.min(rule.daily).map_err(|e| money(key, e))
    };
    let mut words = vec![c.w.late_by(late.seconds, rule.grace_minutes)];
    let mut parts = Vec::new();
    if late.days > 0 {
        let full_day = daily_for_hours(24)?;
        words.push(c.w.late_days(late.days, full_day));
        let quantity = Exact::whole(i64::from(late.days));
        parts.push(c.part(key, c.w.part_late_days(), quantity, &c.w.unit_days(), full_day)?);
    }
    if late.hours > 0 {
        let amount = daily_for_hours(late.hours)?;
        words.push(c.w.late_hours(late.hours, rule.hourly, rule.daily, amount));
        let quantity = Exact::whole(i64::from(late.hours));
        let part = c.part(key, c.w.part_late_hours(), quantity, &c.w.unit_hours(), rule.hourly)?;
        let cut = amount.minus(part.amount).map_err(|e| money(key, e))?;
        parts.push(part);
        if !cut.is_zero() {
            let words = c.w.part_daily_cap(rule.daily);
            parts.push(Part { words, quantity: None, unit: None, unit_price: None, amount: cut, cap: false });
        }
    }
    c.finding(key, &title, Outcome::Exceeded, before, after, words.clone());
    let mut proposal = reading_line(key, RuleKind::Lateness, &title, rule.tax, &[], parts, words);
    proposal.proof = Proof::Agreement;
    c.propose(proposal)
}

pub(super) fn fuel(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let key = "fuel";
    let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::Fuel)) else { return Ok(()) };
    let rule = c.case.tariff.fuel.clone();
    let (Some(out_entry), Some(back_entry)) = (out, back) else {
        return one_sided(c, key, checkpoint, (out, back), rule.map(|r| (RuleKind::Fuel, r.tax)));
    };
    let (Answer::Fuel { level: from }, Answer::Fuel { level: to }) = (&out_entry.answer, &back_entry.answer) else {
        return Ok(());
    };
    let tank = c.case.vehicle.tank_litres;
    let change = fuel_rule::change(*from, *to, tank).map_err(|e| exact(key, e))?;
    let title = checkpoint.title.get(c.lang).to_owned();
    let (before, after) = (show(c, out), show(c, back));
    let litres = change.shortfall_litres;
    if !litres.is_positive() {
        let outcome = if litres.is_zero() { Outcome::Unchanged } else { Outcome::Better };
        let words = if litres.is_zero() { Vec::new() } else { vec![c.w.fuel_surplus(litres)] };
        c.finding(key, &title, outcome, before, after, words);
        return Ok(());
    }
    let mut words = vec![c.w.fuel_shortfall(&before, &after, tank, litres)];
    if !change.chargeable {
        words.push(c.w.within_instruments_litres(litres, change.uncertainty_litres));
        c.finding(key, &title, Outcome::WithinInstruments, before, after, words);
        return Ok(());
    }
    words.push(c.w.beyond_instruments_litres(litres, change.uncertainty_litres));
    c.finding(key, &title, Outcome::Worse, before, after, words.clone());
    let Some(rule) = rule else { return Ok(()) };
    let mut parts = vec![c.part(key, c.w.part_fuel(), litres, "l", rule.per_litre)?];
    if !rule.refuelling_fee.is_zero() {
        parts.push(c.part(key, c.w.part_refuelling(), Exact::ONE, "", rule.refuelling_fee)?);
    }
    let line_title = c.w.title_fuel();
    c.propose(reading_line(key, RuleKind::Fuel, &line_title, rule.tax, &[checkpoint], parts, words))
}

/// Gas weights of every cylinder weighed on both legs.
struct Weighings {
    out: Vec<CylinderReading>,
    back: Vec<CylinderReading>,
}

impl Weighings {
    fn gas(readings: &[CylinderReading]) -> Result<(Exact, Exact), lpg_rule::WeighingFault> {
        let mut total = Exact::ZERO;
        let mut squares = Exact::ZERO;
        for reading in readings {
            let gas = lpg_rule::gas_in(reading)?;
            total = total.plus(gas.value)?;
            squares = squares.plus(gas.half_width.times(gas.half_width)?)?;
        }
        Ok((total, squares))
    }

    fn net_fill(readings: &[CylinderReading]) -> Result<Exact, lpg_rule::WeighingFault> {
        let mut total = Exact::ZERO;
        for reading in readings {
            total = total.plus(reading.net_fill_kg)?;
        }
        Ok(total)
    }
}

pub(super) fn lpg(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let key = "lpg";
    let rule = c.case.tariff.lpg.clone();
    let charge = rule.as_ref().map(|r| (RuleKind::Lpg, r.tax));
    let mut weighings = Weighings { out: Vec::new(), back: Vec::new() };
    let mut weighed = Vec::new();
    let mut one_leg_only = Vec::new();
    for checkpoint in c.checkpoints().into_iter().filter(|p| matches!(p.ask, Ask::Cylinder { .. })) {
        let (out, back) = c.pair(&checkpoint.key);
        match (out.map(|e| &e.answer), back.map(|e| &e.answer)) {
            (Some(Answer::Cylinder(o)), Some(Answer::Cylinder(b))) => {
                weighings.out.push(*o);
                weighings.back.push(*b);
                weighed.push(checkpoint);
            }
            (None, None) => {}
            _ => one_leg_only.push((checkpoint, out, back)),
        }
    }
    // One cylinder without its counterpart leaves the sum open: nothing can be said of the gas used. A missing
    // baseline is told first, since it is what the office can least put right.
    one_leg_only.sort_by_key(|(_, out, _)| out.is_some());
    if let Some((checkpoint, out, back)) = one_leg_only.first() {
        return one_sided(c, key, checkpoint, (*out, *back), charge);
    }
    if weighed.is_empty() {
        return Ok(());
    }
    let fault = |e: lpg_rule::WeighingFault| CaseProblem { path: "line lpg".into(), message: e.to_string() };
    let (gas_out, squares_out) = Weighings::gas(&weighings.out).map_err(fault)?;
    let (gas_back, squares_back) = Weighings::gas(&weighings.back).map_err(fault)?;
    let used = gas_out.minus(gas_back).map_err(|e| exact(key, e))?;
    let squares = squares_out.plus(squares_back).map_err(|e| exact(key, e))?;
    let title = c.w.title_lpg();
    let before = c.w.gas_weights(&weighings.out, gas_out);
    let after = c.w.gas_weights(&weighings.back, gas_back);
    let mut words = vec![c.w.gas_used(gas_out, gas_back, used)];
    words.extend(energy_words(c, gas_back)?);
    let uncertainty = measure::expanded(squares);
    let beyond = measure::exceeds(used, squares).map_err(|e| exact(key, e))?;
    if used.is_positive() {
        words.push(c.w.gas_certainty(used, uncertainty, beyond));
    }
    let outcome = match (used.is_positive(), beyond) {
        (true, true) => Outcome::Worse,
        (true, false) => Outcome::WithinInstruments,
        (false, _) if used.is_zero() => Outcome::Unchanged,
        (false, _) => Outcome::Better,
    };
    let Some(rule) = rule else {
        c.finding(key, &title, outcome, before, after, words);
        return Ok(());
    };
    let checkpoints: Vec<&Checkpoint> = weighed;
    match rule.charge {
        LpgCharge::Included => {
            words.push(c.w.gas_included());
            c.finding(key, &title, outcome, before, after, words);
            Ok(())
        }
        LpgCharge::PerKilogram { price } => {
            c.finding(key, &title, outcome, before, after, words.clone());
            if !beyond {
                return Ok(());
            }
            let part = c.part(key, c.w.part_gas(), used, "kg", price)?;
            c.propose(reading_line(key, RuleKind::Lpg, &title, rule.tax, &checkpoints, vec![part], words))
        }
        LpgCharge::RefillBelow { share, price } => {
            let net_out = Weighings::net_fill(&weighings.out).map_err(fault)?;
            let net_back = Weighings::net_fill(&weighings.back).map_err(fault)?;
            let threshold_out = share.times(net_out).map_err(|e| exact(key, e))?;
            let threshold = share.times(net_back).map_err(|e| exact(key, e))?;
            let short = threshold.minus(gas_back).map_err(|e| exact(key, e))?;
            let below = measure::exceeds(short, squares_back).map_err(|e| exact(key, e))?;
            let went_out_low = gas_out < threshold_out;
            words.push(c.w.gas_refill(share, threshold, gas_back, measure::expanded(squares_back), below));
            if below && went_out_low {
                words.push(c.w.gas_went_out_low(threshold_out, gas_out));
            }
            c.finding(key, &title, outcome, before, after, words.clone());
            if !below || went_out_low {
                return Ok(());
            }
            let part = c.part(key, c.w.part_refill(), Exact::ONE, "", price)?;
            c.propose(reading_line(key, RuleKind::Lpg, &title, rule.tax, &checkpoints, vec![part], words))
        }
    }
}

fn energy_words(c: &Context<'_>, left: Exact) -> Result<Vec<String>, CaseProblem> {
    let gas = c.case.vehicle.gas;
    let kwh = lpg_rule::energy_kwh(gas, left).map_err(|e| exact("lpg", e))?;
    let mut burns = Vec::new();
    for appliance in &c.case.vehicle.gas_appliances {
        let hours = lpg_rule::burn_hours(gas, left, appliance.input_kw).map_err(|e| exact("lpg", e))?;
        burns.push((appliance.name.as_str(), hours));
    }
    Ok(vec![c.w.gas_energy(left, kwh, &burns)])
}

pub(super) fn battery(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let key = "leisure_battery";
    let Some(chemistry) = c.case.vehicle.leisure_battery else { return Ok(()) };
    let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::LeisureBattery)) else { return Ok(()) };
    let Some(Entry { answer: Answer::LeisureBattery(reading), .. }) = back else {
        return one_sided(c, key, checkpoint, (out, back), None);
    };
    let charge = battery_rule::charge(chemistry, reading).map_err(|e| exact(key, e))?;
    let title = checkpoint.title.get(c.lang).to_owned();
    let (before, after) = (show(c, out), show(c, back));
    let words = vec![c.w.battery(chemistry, reading, &charge)];
    let outcome = match charge {
        battery_rule::Charge::Between { harm: true, .. } => Outcome::Attention,
        battery_rule::Charge::Between { .. } => Outcome::Unchanged,
        battery_rule::Charge::NotAtRest { .. } | battery_rule::Charge::NoTable => Outcome::NoConclusion,
    };
    c.finding(key, &title, outcome, before, after, words);
    Ok(())
}

pub(super) fn cassette(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let key = "cassette";
    let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::Cassette)) else { return Ok(()) };
    let rule = c.case.tariff.cassette.clone();
    let (Some(out_entry), Some(back_entry)) = (out, back) else {
        return one_sided(c, key, checkpoint, (out, back), rule.map(|r| (RuleKind::Cassette, r.tax)));
    };
    let (Answer::Cassette { state: from, .. }, Answer::Cassette { state: to, .. }) =
        (&out_entry.answer, &back_entry.answer)
    else {
        return Ok(());
    };
    let title = checkpoint.title.get(c.lang).to_owned();
    let (before, after) = (show(c, out), show(c, back));
    if !cassette_rule::fee_due(*from, *to) {
        let outcome = if to > from { Outcome::Attention } else { Outcome::Unchanged };
        let words = if to > from { vec![c.w.cassette_not_charged(*from, *to)] } else { Vec::new() };
        c.finding(key, &title, outcome, before, after, words);
        return Ok(());
    }
    let words = vec![c.w.cassette(*from, *to)];
    c.finding(key, &title, Outcome::Worse, before, after, words.clone());
    let Some(rule) = rule else { return Ok(()) };
    let part = c.part(key, c.w.part_cassette(), Exact::ONE, "", rule.fee)?;
    let line_title = c.w.title_cassette();
    c.propose(reading_line(key, RuleKind::Cassette, &line_title, rule.tax, &[checkpoint], vec![part], words))
}

pub(super) fn waters(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    if let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::Water { tank: WaterTank::Fresh })) {
        match (out, back) {
            (Some(o), Some(b)) => {
                let outcome = if o.answer == b.answer { Outcome::Unchanged } else { Outcome::Attention };
                let words = vec![c.w.fresh_water_shown()];
                let title = checkpoint.title.get(c.lang).to_owned();
                let (before, after) = (show(c, out), show(c, back));
                c.finding("fresh_water", &title, outcome, before, after, words);
            }
            sides => one_sided(c, "fresh_water", checkpoint, sides, None)?,
        }
    }
    let key = "waste_water";
    let Some((checkpoint, out, back)) = asked(c, |a| matches!(a, Ask::Water { tank: WaterTank::Waste })) else {
        return Ok(());
    };
    let rule = c.case.tariff.waste_water.clone();
    let (Some(out_entry), Some(back_entry)) = (out, back) else {
        return one_sided(c, key, checkpoint, (out, back), rule.map(|r| (RuleKind::WasteWater, r.tax)));
    };
    let (Answer::Water { drained: out_drained, .. }, Answer::Water { drained: back_drained, .. }) =
        (&out_entry.answer, &back_entry.answer)
    else {
        return Ok(());
    };
    let title = checkpoint.title.get(c.lang).to_owned();
    let (before, after) = (show(c, out), show(c, back));
    if *back_drained || !*out_drained {
        let words = if *back_drained { Vec::new() } else { vec![c.w.waste_not_charged()] };
        let outcome = if *back_drained { Outcome::Unchanged } else { Outcome::Attention };
        c.finding(key, &title, outcome, before, after, words);
        return Ok(());
    }
    let words = vec![c.w.waste_undrained()];
    c.finding(key, &title, Outcome::Worse, before, after, words.clone());
    let Some(rule) = rule else { return Ok(()) };
    let part = c.part(key, c.w.part_waste(), Exact::ONE, "", rule.fee)?;
    let line_title = c.w.title_waste();
    c.propose(reading_line(key, RuleKind::WasteWater, &line_title, rule.tax, &[checkpoint], vec![part], words))
}

pub(super) fn cleanliness(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    for checkpoint in c.checkpoints() {
        let Ask::Cleanliness { area } = checkpoint.ask else { continue };
        let (out, back) = c.pair(&checkpoint.key);
        let key = match area {
            Area::Inside => "cleanliness.inside",
            Area::Outside => "cleanliness.outside",
        };
        let Some(rule) = c.case.tariff.cleanliness.iter().find(|r| r.area == area).cloned() else { continue };
        let (Some(out_entry), Some(back_entry)) = (out, back) else {
            one_sided(c, key, checkpoint, (out, back), Some((RuleKind::Cleanliness, rule.tax)))?;
            continue;
        };
        let (Answer::Cleanliness { grade: from }, Answer::Cleanliness { grade: to }) =
            (&out_entry.answer, &back_entry.answer)
        else {
            continue;
        };
        let steps = clean_rule::steps(&rule, from, to).map_err(|grade| CaseProblem {
            path: format!("entries ({})", checkpoint.key),
            message: format!("the tariff has no grade `{grade}` for this area: use one it names"),
        })?;
        let grade = |k: &str| {
            let found = rule.grades.iter().find(|g| g.key == k);
            found.map_or_else(|| k.to_owned(), |g| g.title.get(c.lang).to_owned())
        };
        let title = checkpoint.title.get(c.lang).to_owned();
        let (before, after) = (grade(from), grade(to));
        if steps <= 0 {
            let outcome = if steps == 0 { Outcome::Unchanged } else { Outcome::Better };
            c.finding(key, &title, outcome, before, after, Vec::new());
            continue;
        }
        let words = vec![c.w.cleanliness(&before, &after, steps)];
        c.finding(key, &title, Outcome::Worse, before, after, words.clone());
        let part = c.part(key, c.w.part_cleaning(), Exact::whole(steps), &c.w.unit_steps(), rule.fee_per_step)?;
        c.propose(reading_line(key, RuleKind::Cleanliness, &title, rule.tax, &[checkpoint], vec![part], words))?;
    }
    Ok(())
}

/// Readings that are recorded and shown, and charge nobody.
pub(super) fn shown_only(c: &mut Context<'_>) {
    for checkpoint in c.checkpoints() {
        if !matches!(checkpoint.ask, Ask::StarterBattery | Ask::Tread { .. }) {
            continue;
        }
        let (out, back) = c.pair(&checkpoint.key);
        let title = checkpoint.title.get(c.lang).to_owned();
        let (before, after) = (show(c, out), show(c, back));
        let outcome = match (out, back) {
            (Some(_), Some(_)) => Outcome::Unchanged,
            (None, Some(_)) => Outcome::NoBaseline,
            (Some(_), None) => Outcome::NotRecorded,
            (None, None) => continue,
        };
        c.finding(&checkpoint.key, &title, outcome, before, after, vec![c.w.shown_only()]);
    }
}
