//! A full case (250 checkpoints, 40 marks, 60 photo records): `compare` alone, reading the document, and JSON's own part
//! of the reading.
//!
//!     cargo bench -p handsel-domain

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark stops by panicking")]

use handsel_domain::case::Case;
use handsel_domain::case_check;
use handsel_domain::comparison;
use handsel_domain::ids::{EntryId, MarkId, PhotoId};
use handsel_domain::inspection::{Answer, Condition};
use handsel_domain::template::Ask;
use handsel_domain::text::Lang;
use uuid::Uuid;

fn main() {
    divan::main();
}

/// The case with everything in it, grown to full size.
fn full() -> Case {
    let everything = include_bytes!("../../../fixtures/cases/64_everything_at_once.case.json");
    let mut case = case_check::parse(everything).unwrap();
    let mut serial = 1_000_u128;
    let mut next = || {
        serial += 1;
        Uuid::from_u128(serial)
    };
    let pattern = case.template.stops[0].checkpoints.iter().find(|c| c.ask == Ask::Condition).unwrap().clone();
    while case.template.stops[0].checkpoints.len() < 250 {
        let mut checkpoint = pattern.clone();
        checkpoint.key = format!("checkpoint_{}", case.template.stops[0].checkpoints.len());
        for inspection in [&mut case.departure, &mut case.return_] {
            let mut entry = inspection.entries[0].clone();
            entry.id = EntryId(next());
            entry.checkpoint.clone_from(&checkpoint.key);
            entry.answer = Answer::Condition { state: Condition::InOrder };
            inspection.entries.push(entry);
        }
        case.template.stops[0].checkpoints.push(checkpoint);
    }
    let mark = case.return_.marks[0].clone();
    while case.return_.marks.len() + case.register.len() < 40 {
        let mut another = mark.clone();
        another.id = MarkId(next());
        case.return_.marks.push(another);
    }
    let photo = case.return_.photos[0].clone();
    while case.return_.photos.len() + case.departure.photos.len() < 60 {
        let mut another = photo.clone();
        another.id = PhotoId(next());
        case.return_.photos.push(another);
    }
    case
}

#[divan::bench]
fn compare(bencher: divan::Bencher<'_, '_>) {
    let case = full();
    bencher.bench(|| comparison::compare(divan::black_box(&case), Lang::En).unwrap());
}

#[divan::bench]
fn read_the_document(bencher: divan::Bencher<'_, '_>) {
    let json = serde_json::to_vec(&full()).unwrap();
    bencher.bench(|| case_check::parse(divan::black_box(&json)).unwrap());
}

#[divan::bench]
fn json_alone(bencher: divan::Bencher<'_, '_>) {
    let json = serde_json::to_vec(&full()).unwrap();
    bencher.bench(|| serde_json::from_slice::<serde_json::Value>(divan::black_box(&json)).unwrap());
}
