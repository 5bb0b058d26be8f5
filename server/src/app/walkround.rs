//! The walk-round of one vehicle: its template, with what it has of its own and without what it lacks.

use super::Fault;
use super::check::pointer;
use crate::store::record::{Addition, Fitted};
use handsel_domain::template::{Bearing, Key, Template};
use std::collections::BTreeSet;

/// Equipment as a set.
pub(super) fn equipment(keys: &[Key]) -> BTreeSet<Key> {
    keys.iter().cloned().collect()
}

/// The template with a vehicle's own questions added and its removals left out.
pub(super) fn own(template: &Template, added: &[Addition], removed: &[Key]) -> Template {
    let mut own = template.clone();
    let gone = |key: &Key| removed.contains(key);
    for stop in &mut own.stops {
        stop.viewpoints.retain(|v| !gone(&v.key));
        stop.checkpoints.retain(|c| !gone(&c.key));
        stop.inventory.retain(|i| !gone(&i.key));
        let more = added.iter().filter(|a| a.stop == stop.key).map(|a| a.checkpoint.clone());
        stop.checkpoints.extend(more);
    }
    own.briefings.retain(|b| !gone(&b.key));
    for topic in &mut own.briefings {
        // A topic cannot bear on what is not asked.
        topic.bears_on.retain(|bearing| match bearing {
            Bearing::Checkpoint { checkpoint } => !gone(checkpoint),
            Bearing::Item { item } => !gone(item),
            Bearing::Rule { .. } | Bearing::Panel { .. } => true,
        });
    }
    own
}

/// The template of a hire's vehicle, as frozen.
pub(super) fn of(template: &Template, fitted: &Fitted) -> Template {
    own(template, &fitted.added, &fitted.removed)
}

/// The questions that are asked: nothing that needs equipment the vehicle lacks.
pub(super) fn asked(template: &Template, fitted: &Fitted) -> Template {
    of(template, fitted).for_equipment(&equipment(&fitted.vehicle.equipment))
}

/// What is wrong with a vehicle's own changes to a template.
pub(super) fn faults(template: &Template, equipment: &[Key], added: &[Addition], removed: &[Key]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (index, key) in equipment.iter().enumerate() {
        if !template.equipment.iter().any(|e| &e.key == key) {
            let advice = format!("the template knows no equipment `{key}`: use one of its equipment keys");
            faults.push(Fault::new(format!("/equipment/{index}"), advice));
        }
    }
    for (index, addition) in added.iter().enumerate() {
        if !template.stops.iter().any(|s| s.key == addition.stop) {
            let advice = format!("the template has no stop `{}`: use one of its stop keys", addition.stop);
            faults.push(Fault::new(format!("/added/{index}/stop"), advice));
        }
    }
    for (index, key) in removed.iter().enumerate() {
        let there = template.checkpoint(key).is_some()
            || template.viewpoint(key).is_some()
            || template.item(key).is_some()
            || template.topic(key).is_some();
        if !there {
            let advice = format!("the template has no checkpoint, viewpoint, item or topic `{key}`");
            faults.push(Fault::new(format!("/removed/{index}"), advice));
        }
    }
    if faults.is_empty() {
        let problems = own(template, added, removed).problems();
        faults.extend(problems.into_iter().map(|p| {
            Fault::new(
                "/added",
                format!("with this vehicle's changes the template fails at {}: {}", pointer(&p.at), p.advice),
            )
        }));
    }
    faults
}
