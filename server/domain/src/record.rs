//! What is signed and sealed of an inspection (rule 9): everything recorded, and nothing that only the server knows.

use crate::canonical::canonical;
use crate::ids::{HireId, TemplateId, VehicleId};
use crate::inspection::{Entry, Inspection};
use crate::time::Instant;
use chrono::SecondsFormat;
use serde::Serialize;
use serde_json::{Value, json};

/// How a record names its own format.
pub const FORMAT: &str = "handsel-record-1";

/// What an inspection is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Subject {
    pub hire: HireId,
    pub vehicle: VehicleId,
    pub template: TemplateId,
    pub template_version: u32,
}

/// The record's canonical text.
///
/// # Errors
/// A value that cannot be written as JSON; none of them is such.
pub fn text(subject: Subject, walk: &Inspection) -> Result<String, serde_json::Error> {
    Ok(canonical(&document(subject, walk)?))
}

/// The record. Lists are in the order of their ids or keys; moments are in UTC to the millisecond; decimals are text in
/// their shortest form; what was not said is null.
///
/// # Errors
/// A value that cannot be written as JSON; none of them is such.
pub fn document(subject: Subject, walk: &Inspection) -> Result<Value, serde_json::Error> {
    let entries = walk.entries.iter().map(entry).collect::<Result<Vec<_>, _>>()?;
    let photos = walk
        .photos
        .iter()
        .map(|p| json!({"id": p.id, "subject": p.subject, "taken_at": moment(p.taken_at), "sha256": p.sha256}));
    let marks = walk.marks.iter().map(|m| {
        json!({
            "id": m.id, "panel": m.panel, "kind": m.kind, "size_mm": m.size_mm, "depth": m.depth,
            "viewpoint": m.viewpoint, "x": m.x, "y": m.y, "photos": m.photos, "note": m.note,
        })
    });
    let sightings = walk
        .sightings
        .iter()
        .map(|s| json!({"mark": s.mark, "size_mm": s.size_mm, "photos": s.photos, "note": s.note}));
    let briefings = walk.briefings.iter().map(|b| {
        json!({
            "topic": b.topic,
            "shown_at": b.shown_at.map(moment),
            "acknowledged_at": b.acknowledged_at.map(moment),
            "override_reason": b.overridden.as_ref().map(|o| &o.reason),
        })
    });
    let absence = walk.hirer_absent.as_ref().map(|a| json!({"reason": a.reason, "noted_at": moment(a.noted_at)}));
    Ok(json!({
        "format": FORMAT,
        "inspection": walk.id,
        "leg": walk.leg,
        "hire": subject.hire,
        "vehicle": subject.vehicle,
        "template": {"id": subject.template, "version": subject.template_version},
        "started_at": moment(walk.started_at),
        "entries": by("id", entries),
        "photos": by("id", photos.collect()),
        "marks": by("id", marks.collect()),
        "sightings": by("mark", sightings.collect()),
        "briefings": by("topic", briefings.collect()),
        "handed_over_at": walk.handed_over_at.map(moment),
        "absence": absence,
    }))
}

fn entry(entry: &Entry) -> Result<Value, serde_json::Error> {
    let mut replaces = entry.replaces.clone();
    replaces.sort();
    Ok(json!({
        "id": entry.id, "checkpoint": entry.checkpoint, "answer": said(&entry.answer)?, "photos": entry.photos,
        "note": entry.note, "recorded_at": moment(entry.recorded_at), "replaces": replaces,
    }))
}

fn said(answer: &impl Serialize) -> Result<Value, serde_json::Error> {
    serde_json::to_value(answer)
}

/// As a browser's `toISOString` writes it.
fn moment(at: Instant) -> String {
    at.utc().to_rfc3339_opts(SecondsFormat::Millis, true)
}

fn by(name: &str, mut items: Vec<Value>) -> Vec<Value> {
    items.sort_by(|a, b| key(a, name).cmp(key(b, name)));
    items
}

fn key<'a>(item: &'a Value, name: &str) -> &'a str {
    item.get(name).and_then(Value::as_str).unwrap_or_default()
}
