//! What still stands between an inspection and its signature.

use crate::briefing;
use crate::case::CaseHire;
use crate::charges::Missed;
use crate::conflict::conflicts;
use crate::inspection::{Inspection, Leg, PhotoSubject, SignatureRole};
use crate::template::{Checkpoint, Key, Legs, PhotoNeed, Template};
use crate::text::Lang;
use crate::time::Zone;
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Something not done yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct OpenPoint {
    pub kind: OpenKind,
    /// Key of the checkpoint, viewpoint, item or topic; the role for a signature.
    pub key: String,
    pub words: String,
    /// The inspection cannot be signed before this is done.
    pub blocks: bool,
}

/// The kinds of things not done yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OpenKind {
    HandedOver,
    Viewpoint,
    Checkpoint,
    Photo,
    Item,
    /// Answers of two devices stand side by side.
    Conflict,
    Briefing,
    Signature,
}

impl Legs {
    /// Whether something asked on these legs is asked on this one.
    #[must_use]
    pub const fn includes(self, leg: Leg) -> bool {
        match self {
            Self::Both => true,
            Self::Departure => matches!(leg, Leg::Departure),
            Self::Return => matches!(leg, Leg::Return),
        }
    }
}

/// Everything not done yet, in the order it is met. A point that does not block is a gap the comparison will name.
#[must_use]
pub fn open_points(
    template: &Template,
    equipment: &BTreeSet<Key>,
    hire: &CaseHire,
    zone: Zone,
    inspection: &Inspection,
    lang: Lang,
) -> Vec<OpenPoint> {
    let w = words(lang);
    let mut open = Vec::new();
    if inspection.handed_over_at.is_none() && inspection.leg != Leg::Interim {
        open.push(OpenPoint {
            kind: OpenKind::HandedOver,
            key: "handed_over_at".into(),
            words: w.gate_handed_over(inspection.leg),
            blocks: inspection.leg == Leg::Return,
        });
    }
    for stop in &template.stops {
        for viewpoint in &stop.viewpoints {
            let wanted = PhotoSubject::Viewpoint { viewpoint: viewpoint.key.clone() };
            if !inspection.photos.iter().any(|p| p.subject == wanted) {
                open.push(OpenPoint {
                    kind: OpenKind::Viewpoint,
                    key: viewpoint.key.clone(),
                    words: w.gate_viewpoint(viewpoint.title.get(lang)),
                    blocks: false,
                });
            }
        }
        for checkpoint in stop.checkpoints.iter().filter(|c| c.leg.includes(inspection.leg)) {
            open.extend(open_checkpoint(checkpoint, inspection, lang));
        }
        for item in &stop.inventory {
            if inspection.entry(&item.key).is_none() {
                open.push(OpenPoint {
                    kind: OpenKind::Item,
                    key: item.key.clone(),
                    words: w.gate_item(item.title.get(lang)),
                    blocks: false,
                });
            }
        }
    }
    for conflict in conflicts(&inspection.entries) {
        open.push(OpenPoint {
            kind: OpenKind::Conflict,
            words: w.gate_conflict(title(template, &conflict.checkpoint, lang)),
            key: conflict.checkpoint,
            blocks: true,
        });
    }
    if inspection.leg == Leg::Departure {
        open.extend(open_briefings(template, equipment, hire, zone, inspection, lang));
    }
    open.extend(open_signatures(inspection, lang));
    open
}

fn title<'a>(template: &'a Template, key: &'a str, lang: Lang) -> &'a str {
    let checkpoint = template.checkpoint(key).map(|c| &c.title);
    checkpoint.or_else(|| template.item(key).map(|i| &i.title)).map_or(key, |title| title.get(lang))
}

fn open_checkpoint(checkpoint: &Checkpoint, inspection: &Inspection, lang: Lang) -> Option<OpenPoint> {
    let w = words(lang);
    let title = checkpoint.title.get(lang);
    let Some(entry) = inspection.entry(&checkpoint.key) else {
        return Some(OpenPoint {
            kind: OpenKind::Checkpoint,
            key: checkpoint.key.clone(),
            words: w.gate_checkpoint(title),
            blocks: false,
        });
    };
    let wanted = PhotoSubject::Checkpoint { checkpoint: checkpoint.key.clone() };
    let photographed = !entry.photos.is_empty() || inspection.photos.iter().any(|p| p.subject == wanted);
    (checkpoint.photo == PhotoNeed::Required && !photographed).then(|| OpenPoint {
        kind: OpenKind::Photo,
        key: checkpoint.key.clone(),
        words: w.gate_photo(title),
        blocks: false,
    })
}

fn open_briefings(
    template: &Template,
    equipment: &BTreeSet<Key>,
    hire: &CaseHire,
    zone: Zone,
    inspection: &Inspection,
    lang: Lang,
) -> Vec<OpenPoint> {
    let w = words(lang);
    let due = template.briefings.iter().filter(|t| briefing::due(t, equipment, hire, zone));
    due.filter_map(|topic| {
        let record = inspection.briefings.iter().find(|b| b.topic == topic.key);
        let why = briefing::missed(record, inspection.signed_at)?;
        // An override with a reason lets the departure be signed; it still counts as missed.
        let blocks = topic.critical && why != Missed::Overridden;
        (blocks || why != Missed::Overridden).then(|| OpenPoint {
            kind: OpenKind::Briefing,
            key: topic.key.clone(),
            words: w.gate_briefing(topic.title.get(lang), why),
            blocks,
        })
    })
    .collect()
}

fn open_signatures(inspection: &Inspection, lang: Lang) -> Vec<OpenPoint> {
    let w = words(lang);
    let signed = |role| inspection.signatures.iter().any(|s| s.role == role);
    let absent = inspection.leg != Leg::Departure && inspection.hirer_absent.is_some();
    let mut open = Vec::new();
    if !signed(SignatureRole::Hirer) && !absent && inspection.leg != Leg::Interim {
        open.push(OpenPoint {
            kind: OpenKind::Signature,
            key: "hirer".into(),
            words: w.gate_signature(SignatureRole::Hirer, inspection.leg),
            blocks: true,
        });
    }
    if !signed(SignatureRole::Staff) {
        open.push(OpenPoint {
            kind: OpenKind::Signature,
            key: "staff".into(),
            words: w.gate_signature(SignatureRole::Staff, inspection.leg),
            blocks: true,
        });
    }
    open
}
