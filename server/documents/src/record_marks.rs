//! Damage of a record, each with its photographs, and the photographs of the walk-round.

use crate::draft::{Copy, Draft, Part, Photo, Said};
use crate::record::Record;
use crate::words::words;
use handsel_domain::ids::{MarkId, PhotoId};
use handsel_domain::inspection::{Inspection, Leg, Mark, Photo as Taken, PhotoSubject, Sighting};
use handsel_domain::shown::moment;
use handsel_domain::text::Lang;
use handsel_domain::words::words as said;

/// Close-ups shown of one damage on one leg.
const CLOSE_UPS: usize = 2;

pub(crate) fn damage(draft: &mut Draft, record: &Record, lang: Lang) {
    match (record.inspection.leg, &record.departure) {
        (Leg::Return, Some(departure)) => came_back(draft, record, departure, lang),
        _ => went_out(draft, record, lang),
    }
}

/// Damage known at handover, shown on this walk-round's own photographs.
fn went_out(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    draft.heading(w.damage_known);
    if record.register.is_empty() {
        draft.text(w.no_damage_known);
        return;
    }
    draft.text(w.where_ring);
    for mark in &record.register {
        let now = record.inspection.marks.iter().any(|m| m.id == mark.id);
        let mut photos: Vec<Photo> =
            of_viewpoint(draft, record, &record.inspection, mark, None, lang).into_iter().collect();
        photos.extend(close_ups(draft, record, &record.inspection, mark, &mark.photos, lang));
        let mut lines = vec![said(lang).mark(mark.size_mm, mark.depth)];
        lines.extend(now.then(|| w.first_seen_now.to_owned()));
        lines.extend(noted(mark.note.as_deref(), lang));
        lines.extend(photos.is_empty().then(|| w.no_photo.to_owned()));
        draft.push(Part::Mark { title: title(record, mark, lang), lines, photos });
    }
}

/// New and grown damage, before beside after; what was seen again and is no larger, in a list.
fn came_back(draft: &mut Draft, record: &Record, departure: &Inspection, lang: Lang) {
    let w = words(lang);
    let walk = &record.inspection;
    draft.heading(w.damage_new);
    if walk.marks.is_empty() {
        draft.text(w.no_damage_new);
    } else {
        draft.text(w.where_ring);
    }
    for mark in &walk.marks {
        let photos = before_and_after(draft, record, departure, mark, &mark.photos, lang);
        let mut lines = vec![said(lang).mark(mark.size_mm, mark.depth)];
        lines.extend(noted(mark.note.as_deref(), lang));
        lines.extend(photos.is_empty().then(|| w.no_photo.to_owned()));
        draft.push(Part::Mark { title: title(record, mark, lang), lines, photos });
    }
    let known = |id: MarkId| record.register.iter().find(|m| m.id == id);
    let seen: Vec<(&Sighting, &Mark)> = walk.sightings.iter().filter_map(|s| Some((s, known(s.mark)?))).collect();
    let (grown, same): (Vec<_>, Vec<_>) = seen.into_iter().partition(|(s, m)| s.size_mm > m.size_mm);
    if !grown.is_empty() {
        draft.heading(w.damage_grown);
    }
    for (sighting, mark) in grown {
        let photos = before_and_after(draft, record, departure, mark, &sighting.photos, lang);
        let mut lines = vec![said(lang).grown(mark.size_mm, sighting.size_mm)];
        lines.extend(noted(sighting.note.as_deref(), lang));
        lines.extend(photos.is_empty().then(|| w.no_photo.to_owned()));
        draft.push(Part::Mark { title: title(record, mark, lang), lines, photos });
    }
    if !same.is_empty() {
        draft.heading(w.damage_seen_again);
    }
    for (sighting, mark) in same {
        let mut lines = vec![said(lang).mark(mark.size_mm, mark.depth)];
        lines.extend(noted(sighting.note.as_deref(), lang));
        draft.push(Part::Mark { title: title(record, mark, lang), lines, photos: Vec::new() });
    }
}

fn before_and_after(
    draft: &mut Draft,
    record: &Record,
    departure: &Inspection,
    mark: &Mark,
    own: &[PhotoId],
    lang: Lang,
) -> Vec<Photo> {
    let w = words(lang);
    let before = of_viewpoint(draft, record, departure, mark, Some(w.before), lang);
    let after = of_viewpoint(draft, record, &record.inspection, mark, Some(w.after), lang);
    let mut photos: Vec<Photo> = before.into_iter().chain(after).collect();
    photos.extend(close_ups(draft, record, &record.inspection, mark, own, lang));
    photos
}

fn title(record: &Record, mark: &Mark, lang: Lang) -> String {
    let panel = record.template.panels.iter().find(|p| p.key == mark.panel);
    said(lang).mark_title(panel.map_or(mark.panel.as_str(), |p| p.title.get(lang)), &mark.kind)
}

fn noted(note: Option<&str>, lang: Lang) -> Option<String> {
    note.filter(|n| !n.trim().is_empty()).map(|n| format!("{}: {n}", words(lang).note))
}

/// The last photograph of the viewpoint that shows a damage, with its place ringed.
fn of_viewpoint(
    draft: &mut Draft,
    record: &Record,
    walk: &Inspection,
    mark: &Mark,
    leg: Option<&str>,
    lang: Lang,
) -> Option<Photo> {
    let w = words(lang);
    let wanted = PhotoSubject::Viewpoint { viewpoint: mark.viewpoint.clone() };
    let taken = last(record, walk, &wanted)?;
    let viewpoint = viewpoint(record, &mark.viewpoint, lang);
    let damage = title(record, mark, lang);
    let leg_words = leg.map(|l| format!("{l} · ")).unwrap_or_default();
    let words = Said {
        alt: format!("{} · {leg_words}{viewpoint}; {} {damage}", w.photo_of, w.ring_marks),
        caption: format!("{leg_words}{viewpoint}, {}", moment(record.zone, taken.taken_at, lang)),
        place: Some((mark.x.approx().clamp(0.0, 1.0), mark.y.approx().clamp(0.0, 1.0))),
    };
    draft.photo(record.photos.get(&taken.id)?, Copy { photo: taken.id, large: true }, words)
}

/// Closer photographs of a damage, taken on a walk-round.
fn close_ups(
    draft: &mut Draft,
    record: &Record,
    walk: &Inspection,
    mark: &Mark,
    own: &[PhotoId],
    lang: Lang,
) -> Vec<Photo> {
    let w = words(lang);
    let of_it = PhotoSubject::Mark { mark: mark.id };
    let close = walk.photos.iter().filter(|p| {
        let named = own.contains(&p.id) && !matches!(p.subject, PhotoSubject::Viewpoint { .. });
        (p.subject == of_it || named) && record.photos.contains_key(&p.id)
    });
    let mut photos = Vec::new();
    for taken in close.take(CLOSE_UPS) {
        let damage = title(record, mark, lang);
        let words = Said {
            alt: format!("{} · {}: {damage}", w.photo_of, w.close_up),
            caption: format!("{}, {}", w.close_up, moment(record.zone, taken.taken_at, lang)),
            place: None,
        };
        let Some(picture) = record.photos.get(&taken.id) else { continue };
        photos.extend(draft.photo(picture, Copy { photo: taken.id, large: true }, words));
    }
    photos
}

fn last<'a>(record: &Record, walk: &'a Inspection, subject: &PhotoSubject) -> Option<&'a Taken> {
    let of_it = walk.photos.iter().filter(|p| &p.subject == subject && record.photos.contains_key(&p.id));
    of_it.max_by_key(|p| (p.taken_at, p.received_at, p.id))
}

fn viewpoint(record: &Record, key: &str, lang: Lang) -> String {
    record.template.viewpoint(key).map_or_else(|| key.to_owned(), |v| v.title.get(lang).to_owned())
}

/// All photographs of the walk-round, small.
pub(crate) fn overview(draft: &mut Draft, record: &Record, lang: Lang) {
    let w = words(lang);
    let walk = &record.inspection;
    let mut photos = Vec::new();
    let mut left_out = 0_usize;
    for taken in &walk.photos {
        let Some(picture) = record.photos.get(&taken.id) else { continue };
        let subject = subject(record, &taken.subject, lang);
        let words = Said {
            alt: format!("{} · {subject}", w.photo_of),
            caption: format!("{subject}, {}", moment(record.zone, taken.taken_at, lang)),
            place: None,
        };
        match draft.photo(picture, Copy { photo: taken.id, large: false }, words) {
            Some(photo) => photos.push(photo),
            None => left_out += 1,
        }
    }
    let awaited = walk.photos.iter().filter(|p| !record.photos.contains_key(&p.id)).count();
    if photos.is_empty() && awaited == 0 {
        return;
    }
    draft.heading(w.photographs);
    if !photos.is_empty() {
        draft.push(Part::Photos { photos });
    }
    if left_out > 0 {
        draft.text(format!("{} {left_out}.", w.photographs_more));
    }
    if awaited > 0 {
        draft.text(format!("{} {awaited}.", w.photographs_awaited));
    }
}

fn subject(record: &Record, subject: &PhotoSubject, lang: Lang) -> String {
    match subject {
        PhotoSubject::Viewpoint { viewpoint: key } => viewpoint(record, key, lang),
        PhotoSubject::Checkpoint { checkpoint: key } => {
            let checkpoint = record.template.checkpoint(key).map(|c| c.title.get(lang).to_owned());
            let item = || record.template.item(key).map(|i| i.title.get(lang).to_owned());
            checkpoint.or_else(item).unwrap_or_else(|| key.clone())
        }
        PhotoSubject::Mark { mark } => {
            let all = record.inspection.marks.iter().chain(&record.register);
            all.into_iter()
                .find(|m| m.id == *mark)
                .map_or_else(|| words(lang).close_up.to_owned(), |m| title(record, m, lang))
        }
    }
}
