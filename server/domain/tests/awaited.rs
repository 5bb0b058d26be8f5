//! Photographs that a device has announced and whose bytes have not come: named as such, and worth nothing until then.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use handsel_domain::case::Case;
use handsel_domain::case_check;
use handsel_domain::comparison::compare;
use handsel_domain::evidence::{Evidence, EvidenceKind};
use handsel_domain::inspection::PhotoSubject;
use handsel_domain::text::Lang;

fn case(name: &str) -> Case {
    let path = format!("{}/../../fixtures/cases/{name}.case.json", env!("CARGO_MANIFEST_DIR"));
    case_check::parse(&std::fs::read(path).unwrap()).unwrap()
}

/// Evidence of a kind, over all lines, and what is charged at most.
fn evidence(case: &Case, kind: EvidenceKind, lang: Lang) -> (Vec<Evidence>, i64) {
    let compared = compare(case, lang).unwrap();
    let all = compared.lines.into_iter().flat_map(|line| line.evidence).filter(|e| e.kind == kind).collect();
    (all, compared.totals.undecided.minor)
}

#[test]
fn a_viewpoint_is_shown_by_one_photograph_that_came() {
    let mut case = case("41_scratch_just_above");
    let (there, due) = evidence(&case, EvidenceKind::DeparturePhoto, Lang::En);
    assert!(!there.is_empty() && there.iter().all(|e| e.present), "{there:?}");
    for photo in &mut case.departure.photos {
        photo.awaited = true;
    }
    let (awaited, still_due) = evidence(&case, EvidenceKind::DeparturePhoto, Lang::En);
    assert!(awaited.iter().all(|e| !e.present && e.words.ends_with("announced, not yet arrived")), "{awaited:?}");
    assert!(awaited.iter().all(|e| !e.refs.is_empty()), "it says which");
    assert_eq!(due, still_due, "what is missing weakens a line and does not change its figure");
    let (german, _) = evidence(&case, EvidenceKind::DeparturePhoto, Lang::De);
    assert!(german.iter().all(|e| e.words.ends_with("noch nicht eingetroffen")), "{german:?}");
    // Another of the same viewpoint came.
    let mut second = case.departure.photos.first().unwrap().clone();
    second.id = handsel_domain::ids::PhotoId(uuid::Uuid::from_u128(7));
    second.awaited = false;
    let subject = second.subject.clone();
    case.departure.photos.retain(|p| p.subject == subject);
    case.departure.photos.push(second);
    let (one_came, _) = evidence(&case, EvidenceKind::DeparturePhoto, Lang::En);
    assert!(one_came.iter().any(|e| e.present), "{one_came:?}");
}

#[test]
fn a_reading_needs_each_of_its_photographs() {
    let mut case = case("02_fuel_two_eighths");
    let (there, _) = evidence(&case, EvidenceKind::ReadingPhoto, Lang::En);
    assert!(there.iter().any(|e| e.present), "{there:?}");
    let fuel = case.return_.entry("fuel_level").unwrap().photos.clone();
    let mut reading = case.return_.photos.first().unwrap().clone();
    reading.subject = PhotoSubject::Checkpoint { checkpoint: "fuel_level".to_owned() };
    reading.id = *fuel.first().unwrap();
    reading.awaited = true;
    case.return_.photos.push(reading);
    let (awaited, _) = evidence(&case, EvidenceKind::ReadingPhoto, Lang::En);
    assert!(awaited.iter().all(|e| !e.present), "{awaited:?}");
    assert!(awaited.iter().any(|e| e.words.ends_with("announced, not yet arrived")), "{awaited:?}");
}
