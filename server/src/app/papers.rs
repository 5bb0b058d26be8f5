//! Typeset documents: drafted from what is recorded, set on threads of their own, only so many at once.

use super::copies::{Form, Size};
use super::hirer::{self, Follower};
use super::house::days;
use super::inspections::due;
use super::open_walk::{Walk, recorded};
use super::view::Statement;
use super::{App, Caller, Code, Refusal, photos, settlement};
use crate::store::record::{InspectionHead, RegisterState};
use crate::store::{Scope, StoreError, Tx, depot, inspection, mark, photo, seal, stroke, tariff, vehicle};
use handsel_documents::{
    DepotFacts, DisputeTerms, Draft, Figures, PaperError, Picture, Record, SealFacts, record, statement_paper,
};
use handsel_domain::ids::{HireId, InspectionId, PhotoId};
use handsel_domain::inspection::{Inspection, Leg, Mark};
use handsel_domain::policy::Action;
use handsel_domain::text::{Lang, Text};
use std::collections::BTreeMap;
use std::sync::Arc;
use tokio::sync::Semaphore;

/// How many documents are set at once: each takes a processor for a second or two, and its photographs' memory.
#[derive(Clone, Debug)]
pub(super) struct Press(Arc<Semaphore>);

impl Default for Press {
    fn default() -> Self {
        let processors = std::thread::available_parallelism().map_or(1, usize::from);
        Self(Arc::new(Semaphore::new((processors / 2).clamp(1, 4))))
    }
}

impl Press {
    async fn set(&self, draft: Draft, photos: BTreeMap<String, Vec<u8>>) -> Result<Vec<u8>, Refusal> {
        let place = Arc::clone(&self.0).acquire_owned().await.map_err(Refusal::internal)?;
        let setting = tokio::task::spawn_blocking(move || {
            let outcome = draft.set(photos);
            drop(place);
            outcome
        });
        Ok(setting.await.map_err(Refusal::internal)??)
    }
}

impl From<PaperError> for Refusal {
    fn from(error: PaperError) -> Self {
        match error {
            PaperError::TooManyPhotoBytes { .. } | PaperError::TooManyWords { .. } => {
                Self::new(Code::DocumentTooLarge, format!("The document cannot be typeset: {error}."))
            }
            PaperError::PhotoMissing(_) | PaperError::NotJpeg(_) | PaperError::Typesetting(_) => Self::internal(error),
        }
    }
}

/// A document that could be set: whoever has what its tag stands for need not be sent it.
#[derive(Clone, Debug)]
pub struct Drafted {
    pub tag: String,
    /// Nothing of it changes any more.
    pub lasting: bool,
    /// What a file of it is called.
    pub file: String,
    draft: Draft,
}

impl Drafted {
    fn new(draft: Draft, lasting: bool, what: &str, reference: &str) -> Result<Self, Refusal> {
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' };
        let file = format!("{what}-{}.pdf", reference.chars().map(plain).collect::<String>());
        Ok(Self { tag: draft.tag()?, lasting, file, draft })
    }
}

/// The document's bytes. Whoever could have it drafted may see the photographs in it.
pub async fn set(app: &App, drafted: Drafted) -> Result<Vec<u8>, Refusal> {
    let mut copies = BTreeMap::new();
    for (name, copy) in drafted.draft.pictures() {
        let size = if copy.large { Size::Screen } else { Size::List };
        let file = photo::known(&app.store.read().await?, copy.photo).await?;
        let file = file.ok_or_else(|| Refusal::internal(format!("photograph {} is gone", copy.photo)))?;
        photos::must_be_here(&file)?;
        copies.insert(name.clone(), photos::kept_copy(app, &file.photo.sha256, size, Form::Jpeg).await?);
    }
    app.press.set(drafted.draft, copies).await
}

/// The statement of a hire that came back, typeset. Even a closed settlement can get further entries, so it is never
/// taken to be the last word.
pub async fn of_hire(app: &App, caller: &Caller, id: HireId, lang: Lang) -> Result<Drafted, Refusal> {
    statement_of(app, &settlement::statement(app, caller, id, lang).await?, lang)
}

/// The same of a hirer's own hire.
pub async fn own_statement(app: &App, follower: &Follower, lang: Lang) -> Result<Drafted, Refusal> {
    statement_of(app, &hirer::statement(app, follower, lang).await?, lang)
}

fn statement_of(app: &App, statement: &Statement, lang: Lang) -> Result<Drafted, Refusal> {
    let period = app.house.dispute_days;
    let until = statement.closed_at.map(|closed| closed.plus_seconds(days(period)));
    let terms = DisputeTerms { days: period, until };
    Drafted::new(statement_paper(statement, terms, lang), false, "statement", &statement.reference)
}

/// The record of a walk-round, typeset: a draft until it is sealed.
pub async fn of_inspection(app: &App, caller: &Caller, id: InspectionId, lang: Lang) -> Result<Drafted, Refusal> {
    caller.must(Action::ReadInspections)?;
    caller.must(Action::ReadPhotos)?;
    drafted(app, caller.scope, id, lang).await
}

/// The same of a signed walk-round of a hirer's own hire.
pub async fn own_record(app: &App, follower: &Follower, id: InspectionId, lang: Lang) -> Result<Drafted, Refusal> {
    hirer::own_record(app, follower, id).await?;
    // Theirs, as was just seen: the link is the scope.
    drafted(app, Scope::All, id, lang).await
}

async fn drafted(app: &App, scope: Scope, id: InspectionId, lang: Lang) -> Result<Drafted, Refusal> {
    let tx = app.store.read().await?;
    let walk = Walk::within(&tx, scope, id).await?;
    let gathered = gather(app, &tx, walk).await?;
    let taken = gathered.inspection.photos.iter().chain(gathered.departure.iter().flat_map(|d| &d.photos));
    let lasting = gathered.seal.is_some() && !taken.into_iter().any(|p| p.awaited);
    let what = match gathered.inspection.leg {
        Leg::Departure => "handover",
        Leg::Return => "return",
        Leg::Interim => "interim",
    };
    Drafted::new(record(&gathered, lang), lasting, what, &gathered.reference)
}

async fn gather(app: &App, tx: &Tx, walk: Walk) -> Result<Record, Refusal> {
    let lacks = |what: &str| StoreError::Damaged(format!("hire {} has no {what}", walk.hire.id));
    let departure = match walk.head.leg {
        Leg::Return | Leg::Interim => inspection::of_hire(tx, walk.hire.id, Leg::Departure).await?,
        Leg::Departure => None,
    };
    let inspection = walk.recorded(tx).await?.settled();
    let register = register(tx, &walk.head, departure.as_ref(), &inspection).await?;
    // The hire is within the caller's reach, and so is what it names.
    let depot = depot::find(tx, Scope::Depot(walk.hire.depot), walk.hire.depot).await?.ok_or_else(|| lacks("depot"))?;
    let tariff = tariff::find(tx, walk.hire.tariff).await?.ok_or_else(|| lacks("tariff"))?;
    let grades: BTreeMap<String, Text> =
        tariff.cleanliness.into_iter().flat_map(|rule| rule.grades).map(|grade| (grade.key, grade.title)).collect();
    let figures = vehicle::of_hire(tx, &walk.hire).await?.figures;
    let mut photos = pictures(tx, walk.head.id).await?;
    let departure = match &departure {
        Some(head) => {
            photos.extend(pictures(tx, head.id).await?);
            Some(recorded(tx, head).await?.settled())
        }
        None => None,
    };
    let seal = seal::of(tx, walk.head.id).await?.map(|seal| SealFacts {
        sha256: seal.sha256,
        record_sha256: seal.record_sha256,
        key_id: seal.key_id,
        previous: seal.previous,
        sealed_at: seal.sealed_at,
    });
    let topics = due(&walk).map(|topic| topic.key.clone()).collect();
    Ok(Record {
        operator: app.operator.clone(),
        depot: DepotFacts { name: depot.name, address: depot.address, phone: depot.phone },
        zone: walk.hire.zone,
        hirer: walk.hire.hirer().map(|d| d.name.clone()).unwrap_or_default(),
        reference: walk.hire.reference,
        agreed_departure: walk.hire.agreed_departure,
        agreed_return: walk.hire.due_back,
        vehicle: walk.head.fitted.vehicle.name,
        registration: walk.hire.vehicle_registration,
        figures: Some(Figures {
            height_mm: figures.height_mm,
            width_mm: figures.width_mm,
            length_mm: figures.length_mm,
            max_mass_kg: figures.max_mass_kg,
        }),
        template: walk.asked,
        due: topics,
        grades,
        inspection,
        departure,
        register,
        strokes: stroke::of(tx, walk.head.id).await?,
        seal,
        photos,
    })
}

/// Damage known when the departure was signed; as it is known now where it is not signed yet.
async fn register(
    tx: &Tx,
    head: &InspectionHead,
    departure: Option<&InspectionHead>,
    walk: &Inspection,
) -> Result<Vec<Mark>, Refusal> {
    if let Some(signed) = departure.unwrap_or(head).register.clone() {
        return Ok(signed);
    }
    let known = mark::register(tx, head.vehicle).await?.into_iter().filter(|m| m.state == RegisterState::Open);
    let mut marks: Vec<Mark> = known.map(|m| m.mark).collect();
    let more: Vec<Mark> = walk.marks.iter().filter(|m| !marks.iter().any(|k| k.id == m.id)).cloned().collect();
    marks.extend(more);
    Ok(marks)
}

/// Photographs whose bytes are here.
async fn pictures(tx: &Tx, id: InspectionId) -> Result<BTreeMap<PhotoId, Picture>, Refusal> {
    let photos = photo::of_inspection(tx, id).await?.into_iter().filter(|p| p.arrived_at.is_some());
    Ok(photos.map(|p| (p.id, Picture { sha256: p.sha256, width: p.width, height: p.height })).collect())
}
