use super::hire_rules::wrong_state;
use super::hires::{keep, locked};
use super::input::{NewInspection, StartLeg};
use super::once::{Made, digest, id_taken};
use super::open_walk::Walk;
use super::photo_views::views;
use super::view::{AddendumView, DueTopic, InspectionStatus, InspectionView};
use super::walkround::equipment;
use super::{App, Caller, Code, Refusal, sealing};
use crate::store::record::{Fitted, Hire, InspectionHead};
use crate::store::{StoreError, Tx, addendum, hire, inspection, photo, template as templates, vehicle};
use handsel_domain::conflict::conflicts;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{HireId, InspectionId, TemplateId};
use handsel_domain::inspection::{Clocks, Inspection, Leg};
use handsel_domain::policy::Action;
use handsel_domain::template::{BriefingTopic, Template};
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use handsel_domain::{briefing, gate};

pub async fn read(app: &App, caller: &Caller, id: InspectionId, lang: Lang) -> Result<InspectionView, Refusal> {
    caller.must(Action::ReadInspections)?;
    let tx = app.store.read().await?;
    let walk = Walk::read(&tx, caller, id).await?;
    view(&tx, &walk, lang).await
}

/// The walk-round this inspection goes through.
pub async fn template(app: &App, caller: &Caller, id: InspectionId) -> Result<Template, Refusal> {
    caller.must(Action::ReadInspections)?;
    let tx = app.store.read().await?;
    Ok(Walk::read(&tx, caller, id).await?.asked)
}

/// Starts the departure or the return. From here on the template version and what is fitted stay as they are now; a
/// return has its departure's.
pub async fn start(
    app: &App,
    caller: &Caller,
    of: HireId,
    asked: NewInspection,
    lang: Lang,
) -> Result<Made<InspectionView>, Refusal> {
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let fresh = start_in(app, &tx, caller, of, &asked, None, (now, now)).await?;
    let walk = Walk::read(&tx, caller, asked.id).await?;
    let view = view(&tx, &walk, lang).await?;
    if !fresh {
        return Ok(Made::known(view));
    }
    tx.commit().await?;
    Ok(Made::new(view))
}

/// The same within a transaction, started at the first of two moments and received at the second, perhaps with the
/// walk-round a device had at hand. False: it was started already, as it is asked for.
pub(super) async fn start_in(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    of: HireId,
    asked: &NewInspection,
    at_hand: Option<TemplateId>,
    (started_at, now): (Instant, Instant),
) -> Result<bool, Refusal> {
    caller.must(Action::RecordInspection)?;
    let digest = digest(&(of, asked.leg))?;
    let mut hire = locked(tx, caller, of).await?;
    if let Some(known) = inspection::known(tx, asked.id).await? {
        return if known.digest == digest { Ok(false) } else { Err(id_taken("inspection")) };
    }
    let (template, fitted) = basis(tx, &hire, asked.leg, at_hand).await?;
    let head = InspectionHead {
        id: asked.id,
        hire: hire.id,
        vehicle: hire.vehicle,
        leg: asked.leg.into(),
        template,
        started_at,
        started_by: caller.staff,
        clocks: asked.device_time.map(|device| Clocks { device, server: now }),
        handed_over_at: None,
        absence: None,
        signed_at: None,
        signed_by: None,
        fitted,
        register: None,
        digest,
        version: 1,
    };
    inspection::insert(tx, &head).await?;
    keep(app, tx, &mut hire).await?;
    Ok(true)
}

/// What an inspection is measured by, once it may start.
async fn basis(
    tx: &Tx,
    hire: &Hire,
    leg: StartLeg,
    at_hand: Option<TemplateId>,
) -> Result<(TemplateId, Fitted), Refusal> {
    let (wanted, word, there) = match leg {
        StartLeg::Departure => (HireStatus::Booked, "booked", hire.departure),
        StartLeg::Return => (HireStatus::Out, "out", hire.return_),
    };
    if hire.status != wanted {
        return Err(wrong_state(hire.status, word));
    }
    if let Some(other) = there {
        return Err(Refusal::new(
            Code::InspectionStarted,
            format!("This walk-round was started already, as inspection {other}: go on with that one."),
        )
        .and("inspection", other));
    }
    match leg {
        StartLeg::Departure => {
            not_out_elsewhere(tx, hire).await?;
            let vehicle = vehicle::of_hire(tx, hire).await?;
            let template = match at_hand {
                Some(other) if other != vehicle.template => earlier(tx, vehicle.template, other).await?,
                _ => vehicle.template,
            };
            Ok((template, vehicle.fitted()))
        }
        StartLeg::Return => {
            let departure = inspection::of_hire(tx, hire.id, Leg::Departure).await?;
            let lacks = || StoreError::Damaged(format!("hire {} is out without a departure", hire.id));
            let departure = departure.ok_or_else(lacks)?;
            Ok((departure.template, departure.fitted))
        }
    }
}

/// Another version of the same layout's walk-round: the vehicle was given a new one while the device was away.
async fn earlier(tx: &Tx, now: TemplateId, other: TemplateId) -> Result<TemplateId, Refusal> {
    let (now, other) = (templates::find(tx, now).await?, templates::find(tx, other).await?);
    match (now, other) {
        (Some(now), Some(other)) if now.layout == other.layout => Ok(other.id),
        _ => Err(Refusal::value("/deed/template", "must be a version of the walk-round of this vehicle's layout")),
    }
}

pub(super) async fn not_out_elsewhere(tx: &Tx, hire: &Hire) -> Result<(), Refusal> {
    if hire::out_elsewhere(tx, hire).await? {
        return Err(Refusal::new(Code::VehicleOut, "The vehicle is out on another hire: sign its return first."));
    }
    Ok(())
}

/// Everything recorded and everything still to do.
pub(super) async fn view(tx: &Tx, walk: &Walk, lang: Lang) -> Result<InspectionView, Refusal> {
    let head = &walk.head;
    let recorded = walk.recorded(tx).await?;
    let status = if head.signed_at.is_some() { InspectionStatus::Signed } else { InspectionStatus::Open };
    let open_points = match status {
        InspectionStatus::Open => open_points(walk, &recorded, lang),
        InspectionStatus::Signed => Vec::new(),
    };
    Ok(InspectionView {
        id: head.id,
        hire: head.hire,
        vehicle: head.vehicle,
        leg: head.leg,
        status,
        template: head.template,
        template_version: walk.asked.version,
        started_at: head.started_at,
        started_by: head.started_by,
        clocks: head.clocks,
        handed_over_at: head.handed_over_at,
        photos: views(tx, walk.scope, photo::of_inspection(tx, head.id).await?, lang).await?,
        due_topics: due_topics(walk, &recorded),
        open_points,
        conflicts: conflicts(&recorded.entries),
        entries: recorded.entries,
        marks: recorded.marks,
        sightings: recorded.sightings,
        briefings: recorded.briefings,
        signatures: recorded.signatures,
        hirer_absent: recorded.hirer_absent,
        signed_at: head.signed_at,
        seal: sealing::of(tx, head.id).await?,
        addenda: addendum::of(tx, head.id).await?.into_iter().map(AddendumView::from).collect(),
        version: head.version,
    })
}

pub(super) fn open_points(walk: &Walk, recorded: &Inspection, lang: Lang) -> Vec<gate::OpenPoint> {
    let fitted = equipment(&walk.head.fitted.vehicle.equipment);
    gate::open_points(&walk.asked, &fitted, &walk.hire.agreed(), walk.hire.zone, recorded, lang)
}

/// Topics that are due on a departure; none on a return.
pub(super) fn due(walk: &Walk) -> impl Iterator<Item = &BriefingTopic> {
    let fitted = equipment(&walk.head.fitted.vehicle.equipment);
    let agreed = walk.hire.agreed();
    let topics = walk.asked.briefings.iter().filter(|_| walk.head.leg == Leg::Departure);
    topics.filter(move |topic| briefing::due(topic, &fitted, &agreed, walk.hire.zone))
}

fn due_topics(walk: &Walk, recorded: &Inspection) -> Vec<DueTopic> {
    due(walk)
        .map(|topic| {
            let record = recorded.briefings.iter().find(|b| b.topic == topic.key);
            DueTopic {
                topic: topic.key.clone(),
                critical: topic.critical,
                missed: briefing::missed(record, recorded.signed_at),
            }
        })
        .collect()
}
