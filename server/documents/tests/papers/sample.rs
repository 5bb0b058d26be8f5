//! A vehicle, a hire and what was recorded, all invented.

use handsel_documents::statement::{Operator, Statement, StatementLine, StatementMovement};
use handsel_documents::{DepotFacts, Draft, Figures, Picture, Record, SealFacts};
use handsel_domain::builtin;
use handsel_domain::case::Case;
use handsel_domain::comparison::compare;
use handsel_domain::deposit::{Balances, Means, MovementKind};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{EntryId, HireId, InspectionId, MarkId, PhotoId, TemplateId};
use handsel_domain::inspection::{
    Absence, Answer, BatteryReading, BriefingRecord, CassetteState, Condition, CylinderReading, Depth, Entry,
    Inspection, Leg, Level, Mark, Override, Photo, PhotoSubject, Sighting, Signature, SignatureRole,
};
use handsel_domain::money::{Currency, Money};
use handsel_domain::template::{Ask, Template};
use handsel_domain::text::{Lang, Text};
use handsel_domain::time::Instant;
use handsel_domain::units::DistanceUnit;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use uuid::Uuid;

pub(crate) fn at(text: &str) -> Instant {
    text.parse().unwrap()
}

pub(crate) fn uuid(n: u128) -> Uuid {
    Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0000 + n)
}

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures")
}

pub(crate) fn operator() -> Operator {
    Operator {
        name: "Fernway Example Hire".to_owned(),
        address: "1 Example Street, Exampleton".to_owned(),
        contact: "hello@fernway.example, 01632 960100".to_owned(),
    }
}

fn template() -> Template {
    let template = builtin::template(
        TemplateId(uuid(1)),
        "coachbuilt",
        3,
        Text::both("Coachbuilt, rear lounge", "Teilintegriert, Hecksitzgruppe"),
    );
    template.unwrap()
}

fn said(ask: &Ask) -> Answer {
    let n = |n: i128, places: u32| Exact::scaled(n, places);
    match ask {
        Ask::Condition => Answer::Condition { state: Condition::InOrder },
        Ask::Odometer => Answer::Odometer { value: Exact::whole(48_210), unit: DistanceUnit::Km },
        Ask::Fuel => Answer::Fuel { level: Level::Gauge { part: 8, of: 8 } },
        Ask::Cylinder { .. } => Answer::Cylinder(CylinderReading {
            gross_kg: n(2165, 2),
            tare_kg: n(1070, 2),
            net_fill_kg: Exact::whole(11),
            half_width_kg: n(5, 2),
        }),
        Ask::LeisureBattery => Answer::LeisureBattery(BatteryReading {
            volts: n(1274, 2),
            half_width: n(2, 2),
            minutes_at_rest: 240,
            temperature_c: None,
        }),
        Ask::StarterBattery => Answer::StarterBattery { volts: n(1262, 2), half_width: n(2, 2) },
        Ask::Water { .. } => {
            Answer::Water { level: Level::Percent { value: Exact::whole(75), half_width: n(125, 1) }, drained: false }
        }
        Ask::Cassette => Answer::Cassette { state: CassetteState::EmptyRinsed, dosed: true },
        Ask::Tread { .. } => Answer::Tread { mm: n(64, 1), half_width: n(1, 1) },
        Ask::Keys => Answer::Keys { pieces: 2 },
        Ask::Cleanliness { .. } => Answer::Cleanliness { grade: "clean".to_owned() },
    }
}

fn entry(n: u128, key: &str, answer: Answer) -> Entry {
    Entry {
        id: EntryId(uuid(1000 + n)),
        checkpoint: key.to_owned(),
        answer,
        photos: Vec::new(),
        note: None,
        recorded_at: at("2026-03-28T13:40:00Z"),
        recorded_by: None,
        replaces: Vec::new(),
    }
}

fn answers(template: &Template) -> Vec<Entry> {
    let asked = template.stops.iter().flat_map(|s| &s.checkpoints).map(|c| (c.key.clone(), said(&c.ask)));
    let kit = template.stops.iter().flat_map(|s| &s.inventory);
    let kit = kit.map(|i| (i.key.clone(), Answer::Count { pieces: i.pieces }));
    asked.chain(kit).zip(0..).map(|((key, answer), n)| entry(n, &key, answer)).collect()
}

fn photo(n: u128, subject: PhotoSubject, taken_at: &str) -> Photo {
    Photo {
        id: PhotoId(uuid(n)),
        sha256: format!("{n:064x}"),
        subject,
        taken_at: at(taken_at),
        received_at: Some(at(taken_at)),
        repeats: Vec::new(),
        awaited: false,
    }
}

fn mark(n: u128, panel: &str, kind: &str, size_mm: u32, (viewpoint, x, y): (&str, i128, i128)) -> Mark {
    Mark {
        id: MarkId(uuid(n)),
        panel: panel.to_owned(),
        kind: kind.to_owned(),
        size_mm,
        depth: Depth::ThroughFinish,
        viewpoint: viewpoint.to_owned(),
        x: Exact::scaled(x, 2),
        y: Exact::scaled(y, 2),
        photos: Vec::new(),
        first_seen: InspectionId(uuid(9)),
        note: None,
    }
}

fn signature(role: SignatureRole, name: &str, signed_at: &str) -> Signature {
    Signature {
        role,
        name: name.to_owned(),
        signed_at: at(signed_at),
        strokes_sha256: "0".repeat(64),
        record_sha256: None,
    }
}

const VIEWPOINTS: [(&str, &str); 4] = [
    ("nearside_front", "coachbuilt-nearside_front"),
    ("nearside_rear", "coachbuilt-nearside_rear"),
    ("offside_front", "coachbuilt-offside_front"),
    ("offside_rear", "coachbuilt-offside_rear"),
];

fn photos(first: u128, taken_at: &str) -> Vec<Photo> {
    let subject = |key: &str| PhotoSubject::Viewpoint { viewpoint: key.to_owned() };
    VIEWPOINTS.iter().zip(first..).map(|((key, _), n)| photo(n, subject(key), taken_at)).collect()
}

/// Width and height in a JPEG's frame.
fn size_of(jpeg: &[u8]) -> (u32, u32) {
    let mut at = 2;
    loop {
        let length = usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
        if (0xc0..=0xc2).contains(&jpeg[at + 1]) {
            let read = |i: usize| u32::from(u16::from_be_bytes([jpeg[i], jpeg[i + 1]]));
            return (read(at + 7), read(at + 5));
        }
        at += 2 + length;
    }
}

/// The file of a photograph of the sample.
fn file(id: PhotoId) -> Vec<u8> {
    let n = id.0.as_u128() - uuid(0).as_u128();
    let (first, leg) = if n >= 300 { (300, "back") } else { (200, "out") };
    let (_, stem) = VIEWPOINTS[usize::try_from(n - first).unwrap()];
    fs::read(fixtures().join("photos").join(format!("{stem}-{leg}.jpg"))).unwrap()
}

/// What a draft asks for.
pub(crate) fn given(draft: &Draft) -> BTreeMap<String, Vec<u8>> {
    draft.pictures().iter().map(|(name, copy)| (name.clone(), file(copy.photo))).collect()
}

/// A handover of a vehicle with everything fitted, all in order but one thing, two known marks and one new one.
pub(crate) fn handover() -> Record {
    let template = template();
    let mut entries = answers(&template);
    for entry in &mut entries {
        if entry.checkpoint == "mains_inlet" {
            entry.answer = Answer::Condition { state: Condition::NeedsAttention };
            entry.note = Some("Flap does not close by itself; taped.".to_owned());
        }
    }
    let topics: Vec<String> = template.briefings.iter().map(|t| t.key.clone()).collect();
    let briefings = topics.iter().map(|topic| BriefingRecord {
        topic: topic.clone(),
        shown_at: Some(at("2026-03-28T13:50:00Z")),
        acknowledged_at: (topic != "trailer").then(|| at("2026-03-28T13:51:00Z")),
        overridden: (topic == "trailer").then(|| Override {
            reason: "The hirer tows for a living.".to_owned(),
            at: at("2026-03-28T13:55:00Z"),
            by: None,
        }),
    });
    let new = mark(53, "nearside_wall", "scratch", 120, ("nearside_front", 62, 45));
    let register = vec![
        mark(51, "nearside_wall", "dent", 40, ("nearside_rear", 40, 50)),
        mark(52, "rear_bumper", "scratch", 80, ("offside_rear", 22, 70)),
        new.clone(),
    ];
    let photos = photos(200, "2026-03-28T13:30:00Z");
    let pictures = photos.iter().map(|p| {
        let (width, height) = size_of(&file(p.id));
        (p.id, Picture { sha256: p.sha256.clone(), width, height })
    });
    Record {
        operator: operator(),
        depot: DepotFacts {
            name: "North".to_owned(),
            address: "2 Example Yard".to_owned(),
            phone: "01632 960101".to_owned(),
        },
        zone: "Europe/London".parse().unwrap(),
        reference: "F-1042".to_owned(),
        hirer: "Kim Hirer".to_owned(),
        agreed_departure: at("2026-03-28T14:00:00Z"),
        agreed_return: at("2026-04-04T13:00:00Z"),
        vehicle: "Bracken".to_owned(),
        registration: "TEST 1".to_owned(),
        figures: Some(Figures { height_mm: 2895, width_mm: 2320, length_mm: 7230, max_mass_kg: 3500 }),
        due: topics.iter().cloned().collect::<BTreeSet<_>>(),
        grades: BTreeMap::from([
            ("clean".to_owned(), Text::both("Clean", "Sauber")),
            ("dirty".to_owned(), Text::both("Dirty", "Schmutzig")),
        ]),
        photos: pictures.collect(),
        inspection: Inspection {
            id: InspectionId(uuid(10)),
            leg: Leg::Departure,
            started_at: at("2026-03-28T13:20:00Z"),
            handed_over_at: Some(at("2026-03-28T14:05:00Z")),
            clocks: None,
            entries,
            photos,
            marks: vec![new],
            sightings: Vec::new(),
            briefings: briefings.collect(),
            signatures: vec![
                signature(SignatureRole::Hirer, "Kim Hirer", "2026-03-28T14:04:00Z"),
                signature(SignatureRole::Staff, "Ada Desk", "2026-03-28T14:05:00Z"),
            ],
            hirer_absent: None,
            signed_at: Some(at("2026-03-28T14:06:00Z")),
        },
        departure: None,
        register,
        strokes: BTreeMap::from([(SignatureRole::Hirer, written(0.0)), (SignatureRole::Staff, written(1.5))]),
        seal: Some(SealFacts {
            sha256: "5e".repeat(32),
            record_sha256: "7c".repeat(32),
            key_id: "a1".repeat(32),
            previous: Some("03".repeat(32)),
            sealed_at: at("2026-03-28T14:06:00Z"),
        }),
        template,
    }
}

/// A wavy line and a dot.
fn written(shift: f64) -> Vec<Vec<[f64; 2]>> {
    let wave = (0..120).map(|i| {
        let t = f64::from(i) / 120.0;
        [0.1 + 0.8 * t, 0.5 + 0.3 * (shift + 19.0 * t).sin() * (1.0 - t)]
    });
    vec![wave.collect(), vec![[0.5, 0.9]]]
}

/// The return of the same vehicle: less fuel, a broken thing, a new mark, a grown one, and nobody there to sign.
pub(crate) fn came_back() -> Record {
    let out = handover();
    let mut entries = out.inspection.entries.clone();
    for entry in &mut entries {
        match (&entry.answer, entry.checkpoint.as_str()) {
            (Answer::Fuel { .. }, _) => entry.answer = Answer::Fuel { level: Level::Gauge { part: 5, of: 8 } },
            (Answer::Odometer { .. }, _) => {
                entry.answer = Answer::Odometer { value: Exact::whole(50_110), unit: DistanceUnit::Km };
            }
            (Answer::Cleanliness { .. }, "clean_inside") => {
                entry.answer = Answer::Cleanliness { grade: "dirty".to_owned() };
            }
            (_, "mains_lead_condition") => {
                entry.answer = Answer::Condition { state: Condition::Missing };
                entry.note = Some("The hirer left it at the pitch.".to_owned());
            }
            _ => {}
        }
    }
    let photos = photos(300, "2026-04-04T12:00:00Z");
    let pictures = photos.iter().map(|p| {
        let (width, height) = size_of(&file(p.id));
        (p.id, Picture { sha256: p.sha256.clone(), width, height })
    });
    let mut all = out.photos.clone();
    all.extend(pictures);
    Record {
        photos: all,
        due: BTreeSet::new(),
        strokes: BTreeMap::from([(SignatureRole::Staff, written(1.5))]),
        departure: Some(out.inspection.clone()),
        inspection: Inspection {
            id: InspectionId(uuid(11)),
            leg: Leg::Return,
            started_at: at("2026-04-04T11:50:00Z"),
            handed_over_at: Some(at("2026-04-04T12:30:00Z")),
            clocks: None,
            entries,
            photos,
            marks: vec![mark(54, "offside_wall", "scratch", 310, ("offside_front", 55, 52))],
            sightings: vec![
                Sighting {
                    mark: MarkId(uuid(51)),
                    size_mm: 90,
                    photos: Vec::new(),
                    note: Some("Pushed in further.".into()),
                },
                Sighting { mark: MarkId(uuid(52)), size_mm: 80, photos: Vec::new(), note: None },
            ],
            briefings: Vec::new(),
            signatures: vec![signature(SignatureRole::Staff, "Bo Yard", "2026-04-04T12:40:00Z")],
            hirer_absent: Some(Absence {
                reason: "Key through the letter box at night.".to_owned(),
                noted_at: at("2026-04-04T12:35:00Z"),
                noted_by: None,
            }),
            signed_at: Some(at("2026-04-04T12:41:00Z")),
        },
        ..out
    }
}

/// The statement of a worked case in which everything is charged at once, with as many further lines as asked.
pub(crate) fn statement(lang: Lang, lines: usize) -> Statement {
    let text = fs::read_to_string(fixtures().join("cases/64_everything_at_once.case.json")).unwrap();
    let case: Case = serde_json::from_str(&text).unwrap();
    let compared = compare(&case, lang).unwrap();
    let mut all = StatementLine::all(&compared);
    assert!(!all.is_empty());
    let first = all.len();
    while all.len() < lines {
        let mut again = all[all.len() % first].clone();
        again.title = format!("{} ({})", again.title, all.len() + 1);
        all.push(again);
    }
    let money = |minor: i64| Money::new(minor, Currency::from_code("GBP").unwrap());
    let movement = |moment: &str, kind, means, minor, reference: Option<&str>| StatementMovement {
        at: at(moment),
        kind,
        means,
        amount: money(minor),
        reference: reference.map(str::to_owned),
    };
    Statement {
        hire: HireId(uuid(2)),
        reference: "F-1042".to_owned(),
        operator: operator(),
        hirer: "Kim Hirer".to_owned(),
        vehicle: "Bracken".to_owned(),
        registration: "TEST 1".to_owned(),
        depot: "North".to_owned(),
        zone: "Europe/London".parse().unwrap(),
        agreed_departure: at("2026-03-28T14:00:00Z"),
        agreed_return: at("2026-04-04T13:00:00Z"),
        returned_at: Some(at("2026-04-04T12:30:00Z")),
        hire_days: compared.hire_days,
        lines: all,
        tax: compared.tax.clone(),
        charged: compared.totals.charged,
        open_lines: compared.totals.open_lines,
        movements: vec![
            movement("2026-03-28T13:00:00Z", MovementKind::HoldPlaced, Means::Card, 100_000, Some("AUTH-77")),
            movement("2026-04-05T09:00:00Z", MovementKind::Captured, Means::Card, 20_500, None),
            movement("2026-04-05T09:01:00Z", MovementKind::Released, Means::Card, 79_500, Some("AUTH-77")),
        ],
        balances: Balances { held: money(0), received: money(20_500), written_off: money(0), hirer: money(-20_500) },
        outstanding: money(0),
        closed_at: None,
    }
}
