//! The record of one walk-round: handing a vehicle over, or taking it back.

use crate::draft::{Draft, Paper, Part, Picture, foot, tag_of};
use crate::record_parts as parts;
use crate::statement::Operator;
use crate::words::{Words, words};
use crate::{emergency, record_marks as marks};
use handsel_domain::ids::PhotoId;
use handsel_domain::inspection::{Inspection, Leg, Mark, SignatureRole};
use handsel_domain::shown::moment;
use handsel_domain::template::{Key, Template};
use handsel_domain::text::{Lang, Text};
use handsel_domain::time::{Instant, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// The strokes of a drawn signature, in shares of its field.
pub type Strokes = Vec<Vec<[f64; 2]>>;

/// Everything a record is drafted from.
#[derive(Clone, Debug)]
pub struct Record {
    pub operator: Operator,
    pub depot: DepotFacts,
    /// The depot's; all times are shown on its clock.
    pub zone: Zone,
    pub reference: String,
    /// The lead driver's name; empty once erased.
    pub hirer: String,
    pub agreed_departure: Instant,
    /// As last extended in writing.
    pub agreed_return: Instant,
    pub vehicle: String,
    pub registration: String,
    pub figures: Option<Figures>,
    /// What is asked of this vehicle.
    pub template: Template,
    /// Topics that were due; empty on a return.
    pub due: BTreeSet<Key>,
    /// What the tariff calls its grades of cleanliness.
    pub grades: BTreeMap<Key, Text>,
    /// Only with the answers that count.
    pub inspection: Inspection,
    /// On a return: the departure it is held against, likewise.
    pub departure: Option<Inspection>,
    /// Damage known when the departure was signed, or now where it is not signed yet.
    pub register: Vec<Mark>,
    pub strokes: BTreeMap<SignatureRole, Strokes>,
    pub seal: Option<SealFacts>,
    /// Photographs whose bytes have arrived, of both legs.
    pub photos: BTreeMap<PhotoId, Picture>,
}

/// Where the hire runs from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DepotFacts {
    pub name: String,
    pub address: String,
    pub phone: String,
}

/// The figures a driver must know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figures {
    pub height_mm: u32,
    pub width_mm: u32,
    pub length_mm: u32,
    pub max_mass_kg: u32,
}

/// What a seal is told by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SealFacts {
    pub sha256: String,
    pub record_sha256: String,
    pub key_id: String,
    pub previous: Option<String>,
    pub sealed_at: Instant,
}

/// Drafts the record of a walk-round: the handover record at departure, the return record at return.
#[must_use]
pub fn record(record: &Record, lang: Lang) -> Draft {
    let w = words(lang);
    let walk = &record.inspection;
    let (title, about) = match walk.leg {
        Leg::Departure => (w.handover_title, w.about_handover),
        Leg::Return => (w.return_title, w.about_return),
        Leg::Interim => (w.interim_title, w.about_handover),
    };
    let at = record.seal.as_ref().map(|s| s.sealed_at).or(walk.signed_at).unwrap_or(walk.started_at);
    let mut draft = Draft::new(paper(record, title, about, lang), at);
    draft.push(Part::Lead { text: format!("{}, {}", record.vehicle, record.registration) });
    draft.push(standing(record, w, lang));
    draft.push(Part::Facts { rows: facts(record, w, lang) });
    parts::readings(&mut draft, record, lang);
    marks::damage(&mut draft, record, lang);
    parts::state(&mut draft, record, lang);
    parts::kit(&mut draft, record, lang);
    marks::overview(&mut draft, record, lang);
    if walk.leg == Leg::Departure {
        parts::briefings(&mut draft, record, lang);
    }
    draft.push(Part::Notice { label: w.handbook_first.to_owned(), text: String::new() });
    parts::signatures(&mut draft, record, lang);
    parts::seal(&mut draft, record, lang);
    if walk.leg == Leg::Departure {
        emergency::page(&mut draft, record, record.figures.map(|f| size(f, lang)), lang);
    }
    draft
}

fn paper(record: &Record, title: &str, about: &str, lang: Lang) -> Paper {
    let (tag, region) = tag_of(lang);
    let w = words(lang);
    let title = format!("{title} {}", record.reference);
    let operator = [&record.operator.name, &record.operator.address, &record.operator.contact];
    Paper {
        lang: tag,
        region,
        document_title: format!("{title}, {}", record.vehicle),
        author: record.operator.name.clone(),
        description: about.to_owned(),
        footer: foot(&format!("{title} · {}, {}", record.vehicle, record.registration)),
        title,
        page_words: w.page,
        operator: operator.into_iter().filter(|o| !o.is_empty()).cloned().collect(),
        parts: Vec::new(),
    }
}

fn standing(record: &Record, w: &Words, lang: Lang) -> Part {
    let zone = record.zone;
    let (label, text) = match (&record.seal, record.inspection.signed_at) {
        (Some(seal), _) => (format!("{} {}", w.sealed, moment(zone, seal.sealed_at, lang)), about_hirer(record, w)),
        (None, Some(at)) => (format!("{} {}", w.signed, moment(zone, at, lang)), about_hirer(record, w)),
        (None, None) => (w.draft.to_owned(), w.draft_more.to_owned()),
    };
    Part::Notice { label, text }
}

/// Whether the hirer was there.
fn about_hirer(record: &Record, w: &Words) -> String {
    match &record.inspection.hirer_absent {
        Some(absence) => format!("{}: {}", w.hirer_absent, absence.reason),
        None if record.inspection.signatures.iter().any(|s| s.role == SignatureRole::Hirer) => {
            w.hirer_present.to_owned()
        }
        None => String::new(),
    }
}

fn facts(record: &Record, w: &Words, lang: Lang) -> Vec<(String, String)> {
    let zone = record.zone;
    let walk = &record.inspection;
    let mut rows = Vec::new();
    let mut row = |name: &str, value: String| {
        if !value.is_empty() {
            rows.push((name.to_owned(), value));
        }
    };
    row(w.reference, record.reference.clone());
    row(w.hirer, record.hirer.clone());
    row(w.vehicle, format!("{}, {}", record.vehicle, record.registration));
    row(w.size, record.figures.map(|f| size(f, lang)).unwrap_or_default());
    row(
        w.agreed,
        format!(
            "{} {} {}",
            moment(zone, record.agreed_departure, lang),
            w.to,
            moment(zone, record.agreed_return, lang)
        ),
    );
    row(w.started, moment(zone, walk.started_at, lang));
    let changed_hands = if walk.leg == Leg::Return { w.given_back } else { w.handed_over };
    row(changed_hands, walk.handed_over_at.map(|at| moment(zone, at, lang)).unwrap_or_default());
    let depot = [record.depot.name.as_str(), &record.depot.address, &record.depot.phone];
    row(w.depot, depot.into_iter().filter(|d| !d.is_empty()).collect::<Vec<_>>().join(", "));
    let template = &record.template;
    row(w.walk_round, format!("{}, {} {}", template.title.get(lang), w.version, template.version));
    row(w.times, zone.to_string());
    rows
}

/// Height, width and length in metres, and the most it may weigh.
fn size(figures: Figures, lang: Lang) -> String {
    let metres = |mm: u32| {
        let text = format!("{}.{:02} m", mm / 1000, mm % 1000 / 10);
        if lang == Lang::De { text.replace('.', ",") } else { text }
    };
    // Nothing is shown smaller than it is.
    let up = |mm: u32| metres(mm.saturating_add(9));
    let [high, wide, long, at_most] = words(lang).size_words;
    let (height, width, length) = (up(figures.height_mm), up(figures.width_mm), up(figures.length_mm));
    format!("{height} {high}, {width} {wide}, {length} {long}, {at_most} {} kg", figures.max_mass_kg)
}
