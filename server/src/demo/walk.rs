//! Walks a whole inspection of the demonstration: every question answered, most as a good vehicle would be.

use super::album::Shot;
use super::{Demo, pictures};
use crate::app::input::{
    AbsenceNote, BriefingInput, BriefingOverride, EntryInput, Handover, MarkInput, NewInspection, SightingInput, Sign,
    SignatureInput, StartLeg,
};
use crate::app::photos::Upload;
use crate::app::record::Vehicle;
use crate::app::view::InspectionView;
use crate::app::{Caller, Idempotency, Refusal, briefings, entries, inspections, marks, photos, sightings, signing};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{EntryId, HireId, InspectionId, MarkId, PhotoId};
use handsel_domain::inspection::{
    Answer, BatteryReading, CassetteState, Condition, CylinderReading, Depth, Leg, Level, PhotoSubject, SignatureRole,
};
use handsel_domain::template::{Ask, Checkpoint, Key, PhotoNeed, Template};
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use std::collections::BTreeMap;

/// How one walk-round differs from a faultless one.
#[derive(Default)]
pub(super) struct Plan {
    pub odometer: i64,
    /// Answers other than the usual, by checkpoint or item; none leaves it unanswered.
    pub answers: BTreeMap<&'static str, Option<Answer>>,
    pub marks: Vec<NewMark>,
    /// (registered mark, size now)
    pub sightings: Vec<(MarkId, u32)>,
    /// Topics gone on without, and why.
    pub overridden: Vec<(&'static str, &'static str)>,
    /// Why the hirer could not sign.
    pub absent: Option<&'static str>,
    /// Use the return's own pictures where there are any.
    pub marked_pictures: bool,
    /// A picture other than the usual for a viewpoint.
    pub pictures: BTreeMap<&'static str, &'static str>,
    /// What is answered with a photograph of the departure again, and the viewpoint it was taken of.
    pub again: Option<(&'static str, &'static str)>,
    /// The departure's photographs, on a return.
    pub departed: Seen,
    pub hirer: &'static str,
}

pub(super) struct NewMark {
    pub panel: &'static str,
    pub kind: &'static str,
    pub size_mm: u32,
    pub viewpoint: &'static str,
    /// Place in hundredths of the picture.
    pub at: (i64, i64),
    pub depth: Depth,
    pub note: Option<&'static str>,
}

pub(super) struct Walked {
    /// Ids of the plan's marks, in its order.
    pub marks: Vec<MarkId>,
    pub seen: Seen,
}

/// The photographs of the viewpoints.
pub(super) type Seen = BTreeMap<Key, (PhotoId, Shot)>;

/// Where and when one walk-round takes place.
pub(super) struct Scene<'a> {
    pub demo: &'a Demo,
    pub by: &'a Caller,
    pub vehicle: &'a Vehicle,
    pub layout: &'static str,
    pub hire: HireId,
    pub leg: Leg,
    /// When the vehicle changes hands; the walk-round is before it at departure, after it at return.
    pub handed_over: Instant,
}

pub(super) async fn walk(scene: &Scene<'_>, plan: Plan) -> Result<Walked, Refusal> {
    let demo = scene.demo;
    let app = &demo.app;
    let begun = scene.handed_over.plus_seconds(if scene.leg == Leg::Departure { -2_400 } else { 300 });
    demo.clock.set(begun);
    let id = InspectionId(demo.id());
    let leg = if scene.leg == Leg::Departure { StartLeg::Departure } else { StartLeg::Return };
    let start = NewInspection { id, leg, device_time: Some(begun) };
    let view = inspections::start(app, scene.by, scene.hire, start, Lang::En).await?.value;
    let template = inspections::template(app, scene.by, id).await?;
    let seen = viewpoints(scene, id, &template, &plan).await?;
    answers(scene, id, &template, &plan).await?;
    let mut made = Vec::new();
    for mark in &plan.marks {
        made.push(damage(scene, id, mark, &seen).await?);
    }
    for (mark, size_mm) in &plan.sightings {
        let photos = seen.get("nearside_rear").map(|(photo, _)| *photo).into_iter().collect();
        let asked = SightingInput { size_mm: *size_mm, photos, note: None };
        sightings::put(app, scene.by, id, *mark, asked).await?;
    }
    if scene.leg == Leg::Departure {
        brief(scene, &view, &plan).await?;
    }
    finish(scene, id, &plan).await?;
    Ok(Walked { marks: made, seen })
}

/// The next moment of the walk-round: a few seconds on.
fn later(scene: &Scene<'_>) -> Instant {
    let now = scene.demo.app.now().plus_seconds(5);
    scene.demo.clock.set(now);
    now
}

async fn viewpoints(scene: &Scene<'_>, id: InspectionId, template: &Template, plan: &Plan) -> Result<Seen, Refusal> {
    let mut seen = BTreeMap::new();
    for viewpoint in template.stops.iter().flat_map(|s| &s.viewpoints) {
        let key = viewpoint.key.as_str();
        let usual = || pictures::of(scene.layout, key, scene.leg, plan.marked_pictures);
        let Some(name) = plan.pictures.get(key).copied().or_else(usual) else { continue };
        let shot = taken(scene, (id, plan), key, name)?;
        let subject = PhotoSubject::Viewpoint { viewpoint: viewpoint.key.clone() };
        let photo = upload(scene, id, subject, shot.bytes.clone(), later(scene)).await?;
        seen.insert(viewpoint.key.clone(), (photo, shot));
    }
    Ok(seen)
}

/// A photograph of a picture; or the departure's again, where the plan says so.
fn taken(scene: &Scene<'_>, (walk, plan): (InspectionId, &Plan), key: &str, name: &str) -> Result<Shot, Refusal> {
    let again = plan.again.filter(|(what, _)| *what == key);
    match again.and_then(|(_, viewpoint)| plan.departed.get(viewpoint)) {
        Some((_, shot)) => Ok(shot.clone()),
        None => scene.demo.album.take(walk, name),
    }
}

async fn upload(
    scene: &Scene<'_>,
    of: InspectionId,
    subject: PhotoSubject,
    bytes: Vec<u8>,
    taken_at: Instant,
) -> Result<PhotoId, Refusal> {
    let id = PhotoId(scene.demo.id());
    let asked = Upload { id, subject, taken_at, declared: None, bytes };
    photos::put(&scene.demo.app, scene.by, of, asked, Lang::En).await?;
    Ok(id)
}

async fn answers(scene: &Scene<'_>, id: InspectionId, template: &Template, plan: &Plan) -> Result<(), Refusal> {
    for stop in &template.stops {
        for checkpoint in stop.checkpoints.iter().filter(|c| c.leg.includes(scene.leg)) {
            let answer = match plan.answers.get(checkpoint.key.as_str()) {
                Some(answer) => answer.clone(),
                None => Some(usual(scene, checkpoint, plan)),
            };
            let Some(answer) = answer else { continue };
            let at = later(scene);
            let mut photos = Vec::new();
            if checkpoint.photo == PhotoNeed::Required
                && let Some(name) = pictures::of(scene.layout, "cab_dash", scene.leg, plan.marked_pictures)
            {
                let bytes = taken(scene, (id, plan), &checkpoint.key, name)?.bytes;
                let subject = PhotoSubject::Checkpoint { checkpoint: checkpoint.key.clone() };
                photos.push(upload(scene, id, subject, bytes, at).await?);
            }
            put(scene, id, &checkpoint.key, answer, photos, at).await?;
        }
        for item in &stop.inventory {
            let usual = Some(Answer::Count { pieces: item.pieces });
            let Some(answer) = plan.answers.get(item.key.as_str()).cloned().unwrap_or(usual) else { continue };
            put(scene, id, &item.key, answer, Vec::new(), later(scene)).await?;
        }
    }
    Ok(())
}

async fn put(
    scene: &Scene<'_>,
    of: InspectionId,
    key: &str,
    answer: Answer,
    photos: Vec<PhotoId>,
    at: Instant,
) -> Result<(), Refusal> {
    let asked =
        EntryInput { checkpoint: key.to_owned(), answer, photos, note: None, recorded_at: Some(at), replaces: None };
    entries::put(&scene.demo.app, scene.by, of, EntryId(scene.demo.id()), asked).await?;
    Ok(())
}

/// What a vehicle in good order answers.
fn usual(scene: &Scene<'_>, checkpoint: &Checkpoint, plan: &Plan) -> Answer {
    let full = scene.vehicle.fuel_gauge_divisions.map_or(
        Level::Percent { value: Exact::whole(100), half_width: Exact::ONE },
        |of| Level::Gauge { part: of, of },
    );
    let hundredths = |n| Exact::scaled(n, 2);
    match &checkpoint.ask {
        Ask::Condition => Answer::Condition { state: Condition::InOrder },
        Ask::Odometer => Answer::Odometer { value: Exact::whole(plan.odometer), unit: scene.vehicle.odometer_unit },
        Ask::Fuel => Answer::Fuel { level: full },
        Ask::Cylinder { .. } => Answer::Cylinder(CylinderReading {
            gross_kg: hundredths(1_415),
            tare_kg: hundredths(830),
            net_fill_kg: Exact::whole(6),
            half_width_kg: hundredths(5),
        }),
        Ask::LeisureBattery => Answer::LeisureBattery(BatteryReading {
            volts: hundredths(1_278),
            half_width: hundredths(1),
            minutes_at_rest: 600,
            temperature_c: Some(Exact::whole(14)),
        }),
        Ask::StarterBattery => Answer::StarterBattery { volts: hundredths(1_262), half_width: hundredths(1) },
        Ask::Water { .. } => {
            Answer::Water { level: Level::Percent { value: Exact::ZERO, half_width: Exact::whole(5) }, drained: true }
        }
        Ask::Cassette => Answer::Cassette { state: CassetteState::EmptyRinsed, dosed: true },
        Ask::Tread { .. } => Answer::Tread { mm: hundredths(620), half_width: hundredths(10) },
        Ask::Keys => Answer::Keys { pieces: 2 },
        Ask::Cleanliness { .. } => Answer::Cleanliness { grade: "spotless".into() },
    }
}

async fn damage(scene: &Scene<'_>, of: InspectionId, mark: &NewMark, seen: &Seen) -> Result<MarkId, Refusal> {
    let id = MarkId(scene.demo.id());
    let (photo, shot) = seen
        .get(mark.viewpoint)
        .ok_or_else(|| Refusal::internal(format!("the demonstration has no photograph of {}", mark.viewpoint)))?;
    let (x, y) = shot.place(mark.at);
    let asked = MarkInput {
        panel: mark.panel.into(),
        kind: mark.kind.into(),
        size_mm: mark.size_mm,
        depth: mark.depth,
        viewpoint: mark.viewpoint.into(),
        x,
        y,
        photos: vec![*photo],
        note: mark.note.map(ToOwned::to_owned),
    };
    marks::put(&scene.demo.app, scene.by, of, id, asked).await?;
    Ok(id)
}

async fn brief(scene: &Scene<'_>, view: &InspectionView, plan: &Plan) -> Result<(), Refusal> {
    for due in &view.due_topics {
        let now = scene.demo.app.now();
        let overridden = plan.overridden.iter().find(|(topic, _)| *topic == due.topic);
        let asked = match overridden {
            Some((_, reason)) => BriefingInput {
                overridden: Some(BriefingOverride { reason: (*reason).to_owned() }),
                ..BriefingInput::default()
            },
            None => {
                BriefingInput { shown_at: Some(now), acknowledged_at: Some(now.plus_seconds(20)), overridden: None }
            }
        };
        scene.demo.clock.set(now.plus_seconds(25));
        briefings::put(&scene.demo.app, scene.by, view.id, due.topic.clone(), asked).await?;
    }
    Ok(())
}

async fn finish(scene: &Scene<'_>, id: InspectionId, plan: &Plan) -> Result<(), Refusal> {
    let (demo, app) = (scene.demo, &scene.demo.app);
    let before = scene.handed_over.plus_seconds(-60);
    if scene.leg == Leg::Departure && app.now() < before {
        demo.clock.set(before);
    }
    let handover = Handover { handed_over_at: scene.handed_over };
    if scene.leg == Leg::Departure && app.now() < scene.handed_over {
        demo.clock.set(scene.handed_over);
    }
    signing::hand_over(app, scene.by, id, handover, Lang::En).await?;
    match plan.absent {
        Some(reason) => {
            let asked = AbsenceNote { reason: reason.to_owned() };
            signing::note_absence(app, scene.by, id, asked, Lang::En).await?;
        }
        None => sign_as(scene, id, SignatureRole::Hirer, plan.hirer, 1).await?,
    }
    sign_as(scene, id, SignatureRole::Staff, "Dana Pell", 2).await?;
    let key = demo.id().to_string();
    let once = Idempotency { digest: key.clone(), key };
    signing::sign(app, scene.by, id, once, Sign { device_time: Some(app.now()), ..Sign::default() }, Lang::En).await?;
    Ok(())
}

/// A signature of a few loops, different for each signer.
async fn sign_as(
    scene: &Scene<'_>,
    id: InspectionId,
    role: SignatureRole,
    name: &str,
    seed: u32,
) -> Result<(), Refusal> {
    let now = scene.demo.app.now();
    let stroke = (0_u32..40)
        .map(|i| {
            let t = f64::from(i) / 39.0;
            let turn = t * (9.0 + 3.0 * f64::from(seed));
            [0.1 + 0.75 * t + 0.03 * turn.cos(), 0.5 + 0.22 * (1.0 - t) * turn.sin()]
        })
        .collect();
    let asked = SignatureInput { name: name.to_owned(), strokes: vec![stroke], signed_at: now, record_sha256: None };
    signing::put_signature(&scene.demo.app, scene.by, id, role, asked).await?;
    Ok(())
}
