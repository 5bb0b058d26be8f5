//! The evidence of each line, and the briefings that weaken it (rules 6 and 7).

use super::context::{Context, Draft, Proof};
use crate::charges::LineState;
use crate::evidence::{Evidence, EvidenceKind};
use crate::inspection::{Inspection, PhotoSubject, RepeatOf, SignatureRole};
use crate::template::{Bearing, Key};
use crate::words::Words;
use std::collections::BTreeSet;

pub(super) fn hirer_signed(inspection: &Inspection) -> bool {
    inspection.signed_at.is_some() && inspection.signatures.iter().any(|s| s.role == SignatureRole::Hirer)
}

/// Finishes every line: lists its evidence, finds the missed topics that bear on it, and holds what they weaken.
pub(super) fn weigh(c: &mut Context<'_>) {
    let mut drafts = std::mem::take(&mut c.lines);
    for draft in &mut drafts {
        let mut evidence = match &draft.proof {
            Proof::Entries { checkpoints, photo } => entries(c, checkpoints, *photo),
            Proof::Agreement => agreement(c),
            Proof::Mark { viewpoint, photos, registered } => mark(c, viewpoint, photos, *registered),
        };
        await_photos(c, &mut evidence);
        let bearing: Vec<(Key, String, bool)> = c
            .case
            .template
            .briefings
            .iter()
            .filter(|t| t.bears_on.iter().any(|b| matches(b, draft)))
            .map(|t| {
                let missed = c.missed.iter().any(|(m, _)| m.key == t.key);
                (t.key.clone(), t.title.get(c.lang).to_owned(), missed)
            })
            .collect();
        if !bearing.is_empty() {
            let missed: Vec<&str> = bearing.iter().filter(|b| b.2).map(|b| b.1.as_str()).collect();
            evidence.push(Evidence {
                kind: EvidenceKind::Briefing,
                present: missed.is_empty(),
                words: c.w.evidence_briefing(&missed),
                refs: bearing.iter().map(|b| b.0.clone()).collect(),
            });
        }
        evidence.sort_by_key(|e| e.kind);
        let line = &mut draft.line;
        line.weak_points = evidence.iter().filter(|e| !e.present).map(|e| e.words.clone()).collect();
        line.weakened_by = bearing.into_iter().filter(|b| b.2).map(|b| b.0).collect();
        line.evidence = evidence;
        if !line.weakened_by.is_empty() && line.state == LineState::Proposed {
            line.state = LineState::HeldForReview;
        }
    }
    c.lines = drafts;
}

/// A photograph is there once its bytes have come. Of a viewpoint one is enough; a reading needs each.
fn await_photos(c: &Context<'_>, evidence: &mut [Evidence]) {
    let photos = c.case.departure.photos.iter().chain(&c.case.return_.photos);
    let awaited: BTreeSet<String> = photos.filter(|p| p.awaited).map(|p| p.id.to_string()).collect();
    for item in evidence.iter_mut().filter(|e| e.present) {
        let missing = match item.kind {
            EvidenceKind::DeparturePhoto | EvidenceKind::ReturnPhoto => item.refs.iter().all(|r| awaited.contains(r)),
            EvidenceKind::ReadingPhoto => item.refs.iter().any(|r| awaited.contains(r)),
            _ => false,
        };
        if missing {
            item.present = false;
            item.words = c.w.evidence_awaited(item.kind);
        }
    }
}

fn matches(bearing: &Bearing, draft: &Draft) -> bool {
    let cause = &draft.cause;
    match bearing {
        Bearing::Rule { rule } => *rule == draft.line.rule,
        Bearing::Checkpoint { checkpoint } => cause.checkpoint.as_ref() == Some(checkpoint),
        Bearing::Panel { panel, kinds } => {
            cause.panel.as_ref() == Some(panel)
                && (kinds.is_empty() || cause.kind.as_ref().is_some_and(|k| kinds.contains(k)))
        }
        Bearing::Item { item } => cause.item.as_ref() == Some(item),
    }
}

fn item(w: &dyn Words, kind: EvidenceKind, refs: Vec<String>) -> Evidence {
    let present = !refs.is_empty();
    Evidence { kind, present, words: w.evidence(kind, present), refs }
}

fn signatures(c: &Context<'_>) -> [Evidence; 2] {
    let departure = &c.case.departure;
    let back = &c.case.return_;
    let id = |there: bool, i: &Inspection| if there { vec![i.id.to_string()] } else { Vec::new() };
    let closed = back.signed_at.is_some() && (hirer_signed(back) || back.hirer_absent.is_some());
    [
        item(c.w, EvidenceKind::HirerSignedDeparture, id(hirer_signed(departure), departure)),
        item(c.w, EvidenceKind::ReturnSigned, id(closed, back)),
    ]
}

fn entries(c: &Context<'_>, checkpoints: &[Key], photo: bool) -> Vec<Evidence> {
    let mut records = [Vec::new(), Vec::new()];
    // A reading's own photograph is wanted on both legs: each names what is missing.
    let mut pictures = [Vec::new(), Vec::new()];
    let mut pictured = [true, true];
    for checkpoint in checkpoints {
        let (out, back) = c.pair(checkpoint);
        let subject = PhotoSubject::Checkpoint { checkpoint: checkpoint.clone() };
        let legs = [(out, c.departure_photos(&subject)), (back, c.return_photos(&subject))];
        for (leg, (entry, mut photos)) in legs.into_iter().enumerate() {
            let (Some(record), Some(picture), Some(all)) =
                (records.get_mut(leg), pictures.get_mut(leg), pictured.get_mut(leg))
            else {
                continue;
            };
            if let Some(entry) = entry {
                record.push(entry.id.to_string());
                photos.extend(entry.photos.iter().map(ToString::to_string));
            }
            *all &= !photos.is_empty();
            picture.extend(photos);
        }
    }
    let [out_records, back_records] = records;
    let [_, back_pictures] = &pictures;
    let repeats = repeated(c, back_pictures);
    let complete = |refs: Vec<String>| if refs.len() < checkpoints.len() { Vec::new() } else { refs };
    let mut evidence = vec![
        item(c.w, EvidenceKind::DepartureRecord, complete(out_records)),
        item(c.w, EvidenceKind::ReturnRecord, complete(back_records)),
    ];
    if photo {
        let present = pictured.iter().all(|p| *p);
        let [mut refs, more] = pictures;
        refs.extend(more);
        refs.sort();
        refs.dedup();
        let words = c.w.evidence(EvidenceKind::ReadingPhoto, present);
        evidence.push(Evidence { kind: EvidenceKind::ReadingPhoto, present, words, refs });
    }
    evidence.extend(repeats);
    evidence.extend(signatures(c));
    evidence
}

/// Photographs of the return that are earlier ones again show nothing of this return.
fn repeated(c: &Context<'_>, photos: &[String]) -> Vec<Evidence> {
    let again = |whose: RepeatOf| {
        let shown = c.case.return_.photos.iter().filter(|p| photos.contains(&p.id.to_string()));
        let refs: Vec<String> = shown
            .flat_map(|p| {
                p.repeats.iter().filter(|r| r.whose == whose).map(|r| [p.id.to_string(), r.photo.to_string()])
            })
            .flatten()
            .collect();
        let words = c.w.evidence_repeated(whose);
        (!refs.is_empty()).then_some(Evidence { kind: EvidenceKind::ReturnPhotoOwn, present: false, words, refs })
    };
    [RepeatOf::Departure, RepeatOf::OtherVehicle].into_iter().filter_map(again).collect()
}

fn agreement(c: &Context<'_>) -> Vec<Evidence> {
    let handed = c.case.return_.handed_over_at.map(|_| c.case.return_.id.to_string());
    let mut evidence = vec![
        item(c.w, EvidenceKind::DepartureRecord, vec![c.case.hire.id.to_string()]),
        item(c.w, EvidenceKind::ReturnRecord, handed.into_iter().collect()),
    ];
    evidence.extend(signatures(c));
    evidence
}

fn mark(c: &Context<'_>, viewpoint: &str, photos: &[String], registered: bool) -> Vec<Evidence> {
    let subject = PhotoSubject::Viewpoint { viewpoint: viewpoint.to_owned() };
    let before = c.departure_photos(&subject);
    let mut after = photos.to_vec();
    after.extend(c.return_photos(&subject));
    after.sort();
    after.dedup();
    // The register as signed is the departure's record of what was and was not there.
    let departure = &c.case.departure;
    let recorded = registered || departure.signed_at.is_some();
    let record = if recorded { vec![departure.id.to_string()] } else { Vec::new() };
    let repeats = repeated(c, &after);
    let mut evidence = vec![
        item(c.w, EvidenceKind::DepartureRecord, record),
        item(c.w, EvidenceKind::DeparturePhoto, before),
        item(c.w, EvidenceKind::ReturnRecord, vec![c.case.return_.id.to_string()]),
        item(c.w, EvidenceKind::ReturnPhoto, after),
    ];
    evidence.extend(repeats);
    evidence.extend(signatures(c));
    evidence
}
