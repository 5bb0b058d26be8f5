//! Readings, state, kit, briefings, signatures and seal of a record.

use crate::draft::{Column, Draft, Part, Row, Signed};
use crate::record::{Record, Strokes};
use crate::words::{Words, fineness, words};
use handsel_domain::canonical::double;
use handsel_domain::inspection::{Answer, BriefingRecord, Entry, Inspection, Leg, Signature, SignatureRole};
use handsel_domain::shown::moment;
use handsel_domain::template::{Ask, BriefingTopic, Checkpoint, Stop};
use handsel_domain::text::Lang;
use handsel_domain::words::words as said;

/// What was measured, counted or graded.
pub(crate) fn readings(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    let asked = record.template.stops.iter().flat_map(|stop| &stop.checkpoints);
    let rows: Vec<Row> = asked.filter(|c| c.ask != Ask::Condition).filter_map(|c| answer(record, c, lang)).collect();
    if rows.is_empty() {
        return;
    }
    draft.heading(w.readings);
    draft.push(Part::Table { columns: columns(record, w.reading, w), rows });
}

/// What was looked at, stop by stop.
pub(crate) fn state(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    draft.heading(if record.inspection.leg == Leg::Return { w.state_back } else { w.state_out });
    for stop in &record.template.stops {
        let rows = looked_at(record, stop, lang);
        if !rows.is_empty() {
            draft.subheading(stop.title.get(lang));
            draft.push(Part::Table { columns: columns(record, w.looked_at, w), rows });
        }
    }
}

fn looked_at(record: &Record, stop: &Stop, lang: Lang) -> Vec<Row> {
    stop.checkpoints.iter().filter(|c| c.ask == Ask::Condition).filter_map(|c| answer(record, c, lang)).collect()
}

fn columns(record: &Record, first: &'static str, w: &Words) -> Vec<Column> {
    if record.departure.is_some() {
        vec![Column::new(first, 4), Column::new(w.at_departure, 3), Column::new(w.at_return, 3)]
    } else {
        vec![Column::new(first, 5), Column::new(w.found, 5)]
    }
}

/// One question with its answers; none for one that this walk-round does not ask.
fn answer(record: &Record, asked: &Checkpoint, lang: Lang) -> Option<Row> {
    let w = words(lang);
    let walk = &record.inspection;
    let before = record.departure.as_ref().filter(|_| asked.leg.includes(Leg::Departure));
    if !asked.leg.includes(walk.leg) && before.is_none() {
        return None;
    }
    let title = vec![asked.title.get(lang).to_owned()];
    let now = if asked.leg.includes(walk.leg) { cell(record, walk, &asked.key, lang) } else { vec!["–".to_owned()] };
    let Some(departure) = &record.departure else { return Some(Row::new(vec![title, now])) };
    let Some(before) = before else { return Some(Row::new(vec![title, vec!["–".to_owned()], now])) };
    let differs = differ(before.entry(&asked.key), walk.entry(&asked.key));
    let mut now = now;
    if differs {
        now.push(w.differs.to_owned());
    }
    Some(Row { cells: vec![title, cell(record, departure, &asked.key, lang), now], strong: differs })
}

/// Whether both legs have an answer, and another one.
fn differ(before: Option<&Entry>, now: Option<&Entry>) -> bool {
    matches!((before, now), (Some(before), Some(now)) if before.answer != now.answer)
}

fn cell(record: &Record, walk: &Inspection, key: &str, lang: Lang) -> Vec<String> {
    let w = words(lang);
    let Some(entry) = walk.entry(key) else { return vec![w.not_answered.to_owned()] };
    let mut words = match &entry.answer {
        Answer::Cleanliness { grade } => {
            record.grades.get(grade).map_or_else(|| said(lang).answer(&entry.answer), |t| t.get(lang).to_owned())
        }
        other => said(lang).answer(other),
    };
    if let Some(fineness) = fineness(&entry.answer, lang) {
        words = format!("{words} ({fineness})");
    }
    let note = entry.note.as_deref().filter(|n| !n.trim().is_empty()).map(|n| format!("{}: {n}", w.note));
    [Some(words), note].into_iter().flatten().collect()
}

/// What was counted.
pub(crate) fn kit(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    let items = record.template.stops.iter().flat_map(|stop| &stop.inventory);
    let walk = &record.inspection;
    let rows: Vec<Row> = items
        .map(|item| {
            let title = vec![item.title.get(lang).to_owned()];
            let belongs = vec![item.pieces.to_string()];
            let mut now = cell(record, walk, &item.key, lang);
            let Some(departure) = &record.departure else { return Row::new(vec![title, belongs, now]) };
            let strong = differ(departure.entry(&item.key), walk.entry(&item.key));
            if strong {
                now.push(w.differs.to_owned());
            }
            Row { cells: vec![title, belongs, cell(record, departure, &item.key, lang), now], strong }
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    draft.heading(w.kit);
    let mut columns = vec![Column::new(w.item, 4), Column::right(w.belongs)];
    if record.departure.is_some() {
        columns.extend([Column::new(w.at_departure, 3), Column::new(w.at_return, 3)]);
    } else {
        columns.push(Column::new(w.counted, 3));
    }
    draft.push(Part::Table { columns, rows });
}

/// What the hirer was told, in full.
pub(crate) fn briefings(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    draft.heading(w.briefings);
    let told = |topic: &BriefingTopic| record.inspection.briefings.iter().find(|b| b.topic == topic.key);
    let topics: Vec<&BriefingTopic> = record
        .template
        .briefings
        .iter()
        .filter(|topic| record.due.contains(&topic.key) || told(topic).is_some())
        .collect();
    if topics.is_empty() {
        draft.text(w.no_briefings);
        return;
    }
    draft.text(w.briefings_intro);
    for topic in topics {
        draft.subheading(topic.title.get(lang));
        let mut lines = vec![status(record, topic, told(topic), w, lang)];
        lines.extend(topic.body.iter().map(|words| words.get(lang).to_owned()));
        draft.push(Part::Topic {
            lines,
            label: w.caution.to_owned(),
            caution: topic.caution.as_ref().map(|c| c.get(lang).to_owned()),
        });
    }
}

fn status(record: &Record, topic: &BriefingTopic, told: Option<&BriefingRecord>, w: &Words, lang: Lang) -> String {
    let zone = record.zone;
    let mut words: Vec<String> = Vec::new();
    if let Some(told) = told {
        words.extend(told.shown_at.map(|at| format!("{} {}", w.shown, moment(zone, at, lang))));
        words.extend(told.acknowledged_at.map(|at| format!("{} {}", w.acknowledged, moment(zone, at, lang))));
        words.extend(
            told.overridden.as_ref().map(|o| format!("{} ({}): {}", w.gone_on, moment(zone, o.at, lang), o.reason)),
        );
    }
    if told.is_none_or(|t| t.acknowledged_at.is_none() && t.overridden.is_none()) {
        words.push(w.not_acknowledged.to_owned());
    }
    let status = words.join(", ");
    let mut letters = status.chars();
    let status = letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default();
    let status = status.trim_end_matches('.');
    if topic.critical { format!("{status}. {}", w.critical) } else { format!("{status}.") }
}

pub(crate) fn signatures(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    let walk = &record.inspection;
    draft.heading(w.signatures);
    if let Some(absence) = &walk.hirer_absent {
        let noted = format!("{} {}", w.noted, moment(record.zone, absence.noted_at, lang));
        draft.push(Part::Notice { label: w.hirer_absent.to_owned(), text: format!("{} ({noted})", absence.reason) });
    }
    let mut signed: Vec<&Signature> = walk.signatures.iter().collect();
    signed.sort_by_key(|s| s.role);
    if signed.is_empty() {
        draft.text(w.nobody_signed);
        return;
    }
    let mut signatures = Vec::with_capacity(signed.len());
    for one in signed {
        let role = if one.role == SignatureRole::Hirer { w.role_hirer } else { w.role_staff };
        let drawing = record.strokes.get(&one.role).map(|strokes| draft.drawing(drawn(strokes)));
        signatures.push(Signed {
            name: one.name.clone(),
            lines: vec![role.to_owned(), moment(record.zone, one.signed_at, lang)],
            drawing,
            alt: format!("{} {}", w.drawn_signature, one.name),
        });
    }
    draft.push(Part::Signatures { signatures });
}

/// Strokes as a drawing: numbers only. The field is twice as wide as it is high, as it is on the device.
fn drawn(strokes: &Strokes) -> String {
    let place = |[x, y]: [f64; 2]| {
        let (x, y) = (x.clamp(0.0, 1.0) * 1000.0, y.clamp(0.0, 1.0) * 500.0);
        format!("{} {}", double((x * 10.0).round() / 10.0), double((y * 10.0).round() / 10.0))
    };
    let mut path = String::new();
    for stroke in strokes {
        for (at, point) in stroke.iter().enumerate() {
            path.push_str(if at == 0 { "M" } else { "L" });
            path.push_str(&place(*point));
        }
        // A point by itself is a dot.
        if let [[x, y]] = stroke.as_slice() {
            path.push('L');
            path.push_str(&place([x + 0.0005, *y]));
        }
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1000 500\" width=\"1000\" height=\"500\"><path d=\"{path}\" \
         fill=\"none\" stroke=\"#1c1b18\" stroke-width=\"7\" stroke-linecap=\"round\" stroke-linejoin=\"round\"/></svg>"
    )
}

pub(crate) fn seal(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    draft.heading(w.seal);
    let id = (w.inspection_id.to_owned(), record.inspection.id.to_string());
    let Some(seal) = &record.seal else {
        draft.text(w.not_sealed);
        draft.push(Part::Hashes { rows: vec![id] });
        return;
    };
    draft.text(w.seal_means);
    let mut rows = vec![
        (w.seal_hash.to_owned(), seal.sha256.clone()),
        (w.record_hash.to_owned(), seal.record_sha256.clone()),
        (w.key_id.to_owned(), seal.key_id.clone()),
    ];
    rows.extend(seal.previous.clone().map(|previous| (w.seal_before.to_owned(), previous)));
    rows.push(id);
    draft.push(Part::Hashes { rows });
}
