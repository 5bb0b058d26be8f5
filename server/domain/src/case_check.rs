//! Reads a case document and finds everything in it that cannot be reckoned with, each with its place.

use crate::case::{Case, FORMAT};
use crate::entry_check;
use crate::exact::Exact;
use crate::inspection::{Answer, Entry, Inspection, Leg, Mark};
use crate::readings::distance;
use crate::tariff::TariffProblem;
use crate::template::Ask;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;

/// One thing that cannot be reckoned with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CaseProblem {
    /// Where in the document, such as `return.entries[3].answer`.
    pub path: String,
    /// What is wrong and what to do.
    pub message: String,
}

impl fmt::Display for CaseProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "at {}: {}", self.path, self.message)
    }
}

impl std::error::Error for CaseProblem {}

/// Reads a case document.
///
/// # Errors
/// Where the document stops being one: line, column and path.
pub fn parse(json: &[u8]) -> Result<Case, CaseProblem> {
    let mut reader = serde_json::Deserializer::from_slice(json);
    let case: Case = serde_path_to_error::deserialize(&mut reader).map_err(|e| {
        let path = e.path().to_string();
        CaseProblem {
            path: if path == "." { "the document".into() } else { path },
            message: e.into_inner().to_string(),
        }
    })?;
    reader.end().map_err(|e| CaseProblem { path: "the end of the document".into(), message: e.to_string() })?;
    Ok(case)
}

struct Found(Vec<CaseProblem>);

impl Found {
    fn add(&mut self, path: impl Into<String>, message: impl Into<String>) {
        self.0.push(CaseProblem { path: path.into(), message: message.into() });
    }
}

/// Everything wrong with a case that was read.
#[must_use]
pub fn problems(case: &Case) -> Vec<CaseProblem> {
    let mut found = Found(Vec::new());
    if case.format != FORMAT {
        found.add("format", format!("`{}` is not a format this release reads: it reads `{FORMAT}`", case.format));
    }
    for problem in case.template.problems() {
        found.add(format!("template.{}", problem.at), problem.advice);
    }
    for TariffProblem { at, advice } in case.tariff.problems() {
        found.add(format!("tariff.{at}"), advice);
    }
    hire(case, &mut found);
    legs(case, &mut found);
    duplicates(case, &mut found);
    marks(case, &mut found);
    if found.0.is_empty() {
        odometer(case, &mut found);
    }
    found.0
}

fn hire(case: &Case, found: &mut Found) {
    let hire = &case.hire;
    if hire.excess.currency != case.tariff.currency {
        let message = format!("is not in the tariff's currency {}: use one currency", case.tariff.currency.code());
        found.add("hire.excess", message);
    }
    if hire.excess.is_negative() {
        found.add("hire.excess", "cannot be negative");
    }
    if hire.due_back() <= hire.agreed_departure {
        found.add("hire.agreed_return", "must lie after the agreed departure");
    }
    if !case.vehicle.tank_litres.is_positive() {
        found.add("vehicle.tank_litres", "must be more than zero");
    }
    for (i, appliance) in case.vehicle.gas_appliances.iter().enumerate() {
        if !appliance.input_kw.is_positive() {
            found.add(format!("vehicle.gas_appliances[{i}].input_kw"), "must be more than zero");
        }
    }
}

fn legs(case: &Case, found: &mut Found) {
    let asks = asks(case);
    for (path, inspection, wanted) in
        [("departure", &case.departure, Leg::Departure), ("return", &case.return_, Leg::Return)]
    {
        if inspection.leg != wanted {
            found.add(format!("{path}.leg"), format!("must be `{path}` here"));
        }
        for (index, entry) in inspection.entries.iter().enumerate() {
            check_entry(&asks, entry, format_args!("{path}.entries[{index}]"), found);
        }
        for (index, record) in inspection.briefings.iter().enumerate() {
            if case.template.topic(&record.topic).is_none() {
                let message = format!("the template has no topic `{}`", record.topic);
                found.add(format!("{path}.briefings[{index}].topic"), message);
            }
        }
    }
}

/// Every question of the template by key; none for a piece of kit.
fn asks(case: &Case) -> BTreeMap<&str, Option<&Ask>> {
    let stops = &case.template.stops;
    let checkpoints = stops.iter().flat_map(|s| &s.checkpoints).map(|c| (c.key.as_str(), Some(&c.ask)));
    let items = stops.iter().flat_map(|s| &s.inventory).map(|i| (i.key.as_str(), None));
    checkpoints.chain(items).collect()
}

fn check_entry(asks: &BTreeMap<&str, Option<&Ask>>, entry: &Entry, path: fmt::Arguments<'_>, found: &mut Found) {
    match asks.get(entry.checkpoint.as_str()) {
        None => found.add(
            format!("{path}.checkpoint"),
            format!("the template has no checkpoint or item `{}`", entry.checkpoint),
        ),
        Some(Some(ask)) => {
            if let Err(fault) = entry_check::check(ask, &entry.answer, None, false) {
                found.add(format!("{path}.answer"), fault.to_string());
            }
        }
        Some(None) => {
            if !matches!(entry.answer, Answer::Count { .. }) {
                found.add(format!("{path}.answer"), "a piece of kit takes an answer of kind `count`");
            }
        }
    }
}

fn duplicates(case: &Case, found: &mut Found) {
    let mut seen = BTreeSet::new();
    let mut once = |id: Uuid, path: fmt::Arguments<'_>| {
        if !seen.insert(id) {
            found.add(path.to_string(), format!("the id {id} is used a second time: every id is used once"));
        }
    };
    for (path, inspection) in [("departure", &case.departure), ("return", &case.return_)] {
        once(inspection.id.0, format_args!("{path}.id"));
        for (i, entry) in inspection.entries.iter().enumerate() {
            once(entry.id.0, format_args!("{path}.entries[{i}].id"));
        }
        for (i, photo) in inspection.photos.iter().enumerate() {
            once(photo.id.0, format_args!("{path}.photos[{i}].id"));
        }
    }
    for (i, mark) in case.register.iter().enumerate() {
        once(mark.id.0, format_args!("register[{i}].id"));
    }
    for (i, mark) in case.return_.marks.iter().enumerate() {
        once(mark.id.0, format_args!("return.marks[{i}].id"));
    }
    for (i, decision) in case.decisions.iter().enumerate() {
        once(decision.id.0, format_args!("decisions[{i}].id"));
    }
    twice(&case.departure, "departure", found);
    twice(&case.return_, "return", found);
}

fn twice(inspection: &Inspection, path: &str, found: &mut Found) {
    let mut topics = BTreeSet::new();
    for (i, record) in inspection.briefings.iter().enumerate() {
        if !topics.insert(record.topic.as_str()) {
            let message = format!("the topic `{}` is recorded a second time", record.topic);
            found.add(format!("{path}.briefings[{i}].topic"), message);
        }
    }
    let mut sightings = BTreeSet::new();
    for (i, sighting) in inspection.sightings.iter().enumerate() {
        if !sightings.insert(sighting.mark) {
            let message = format!("the mark {} is looked at a second time", sighting.mark);
            found.add(format!("{path}.sightings[{i}].mark"), message);
        }
    }
}

fn marks(case: &Case, found: &mut Found) {
    for (path, marks) in [("register", &case.register), ("return.marks", &case.return_.marks)] {
        for (i, mark) in marks.iter().enumerate() {
            check_mark(case, mark, format_args!("{path}[{i}]"), found);
        }
    }
    for (i, sighting) in case.return_.sightings.iter().enumerate() {
        if !case.register.iter().any(|m| m.id == sighting.mark) {
            let message = format!("the register has no mark {}: a new one belongs under `marks`", sighting.mark);
            found.add(format!("return.sightings[{i}].mark"), message);
        }
    }
}

fn check_mark(case: &Case, mark: &Mark, path: fmt::Arguments<'_>, found: &mut Found) {
    if case.template.panel(&mark.panel).is_none() {
        found.add(format!("{path}.panel"), format!("the template has no panel `{}`", mark.panel));
    }
    if case.template.viewpoint(&mark.viewpoint).is_none() {
        found.add(format!("{path}.viewpoint"), format!("the template has no viewpoint `{}`", mark.viewpoint));
    }
    let inside = |v: Exact| !v.is_negative() && v <= Exact::ONE;
    if !inside(mark.x) || !inside(mark.y) {
        found.add(format!("{path}.x"), "the place on the photograph must lie between 0 and 1 in both directions");
    }
    if mark.size_mm == 0 {
        found.add(format!("{path}.size_mm"), "must be at least 1 mm");
    }
}

fn odometer(case: &Case, found: &mut Found) {
    let reading = |inspection: &Inspection| {
        inspection.entries.iter().rposition(|e| matches!(e.answer, Answer::Odometer { .. })).and_then(|i| {
            match inspection.entries.get(i).map(|e| &e.answer) {
                Some(Answer::Odometer { value, unit }) => Some((i, (*value, *unit))),
                _ => None,
            }
        })
    };
    if let (Some((_, out)), Some((index, back))) = (reading(&case.departure), reading(&case.return_))
        && let Err(fault) = distance::driven(out, back, case.odometer_replacement.as_ref())
    {
        found.add(format!("return.entries[{index}].answer.value"), fault.to_string());
    }
}
