//! When a briefing topic is due, and when it counts as missed (rule 7).

use crate::case::CaseHire;
use crate::charges::Missed;
use crate::inspection::BriefingRecord;
use crate::template::{BriefingTopic, Key};
use crate::time::{Instant, Zone};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// The condition under which a topic is due, read against a vehicle and a hire.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "when", rename_all = "snake_case", deny_unknown_fields)]
#[schema(no_recursion)]
pub enum When {
    Always,
    /// This equipment is fitted.
    Equipment {
        key: Key,
    },
    /// The hire touches one of these months (1 to 12), on the depot's calendar.
    Months {
        months: Vec<u8>,
    },
    /// The hire says it goes there, such as `alpine`.
    Trip {
        key: Key,
    },
    /// The hirer has never had this layout.
    NewToLayout,
    Pets,
    Trailer,
    /// Every one of these.
    All {
        of: Vec<When>,
    },
    /// At least one of these.
    Any {
        of: Vec<When>,
    },
}

/// Whether a topic is due for a vehicle with this equipment on this hire.
#[must_use]
pub fn due(topic: &BriefingTopic, equipment: &BTreeSet<Key>, hire: &CaseHire, zone: Zone) -> bool {
    holds(&topic.due, equipment, hire, zone)
}

fn holds(when: &When, equipment: &BTreeSet<Key>, hire: &CaseHire, zone: Zone) -> bool {
    match when {
        When::Always => true,
        When::Equipment { key } => equipment.contains(key),
        When::Months { months } => {
            zone.months_touched(hire.agreed_departure, hire.due_back()).iter().any(|m| months.contains(m))
        }
        When::Trip { key } => hire.trips.contains(key),
        When::NewToLayout => hire.new_to_layout,
        When::Pets => hire.pets,
        When::Trailer => hire.trailer,
        When::All { of } => of.iter().all(|w| holds(w, equipment, hire, zone)),
        When::Any { of } => of.iter().any(|w| holds(w, equipment, hire, zone)),
    }
}

/// How a due topic was missed, if it was: at the departure signature not acknowledged, overridden, or acknowledged
/// without having been shown.
#[must_use]
pub fn missed(record: Option<&BriefingRecord>, signed_at: Option<Instant>) -> Option<Missed> {
    let Some(record) = record else { return Some(Missed::NotAcknowledged) };
    if record.overridden.is_some() {
        return Some(Missed::Overridden);
    }
    let in_time = |at: Option<Instant>| at.filter(|t| signed_at.is_none_or(|s| *t <= s));
    match (in_time(record.shown_at), in_time(record.acknowledged_at)) {
        (_, None) => Some(Missed::NotAcknowledged),
        (Some(shown), Some(acknowledged)) if shown <= acknowledged => None,
        (_, Some(_)) => Some(Missed::AcknowledgedUnshown),
    }
}
