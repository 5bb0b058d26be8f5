use super::check::Checks;
use super::hire_rules::{check, reference_taken, wrong_state};
use super::input::{Cancel, HireDue, HireEdit, HireFilter, NewExtension, NewHire};
use super::once::{self, Idempotency, Made, Replayed, changed_meanwhile, digest, id_taken, taken};
use super::{App, Caller, Code, Page, PageAsk, Refusal, Scope, standing};
use crate::store::hire::{Due, Wanted};
use crate::store::record::Hire;
use crate::store::{Tx, depot, driver, hire, vehicle};
use chrono::{Days, NaiveTime};
use handsel_domain::case::{Extension, OdometerReplacement};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, HireId};
use handsel_domain::policy::Action;
use handsel_domain::time::{Date, Instant};

pub async fn list(app: &App, caller: &Caller, filter: HireFilter, ask: &PageAsk) -> Result<Page<Hire>, Refusal> {
    caller.must(Action::ReadHires)?;
    let tx = app.store.read().await?;
    let due = match filter.due {
        None => None,
        Some(due) => {
            let ends = day_ends(&tx, caller.scope, filter.on, app.effects.now(), 0).await?;
            Some(match due {
                HireDue::Departures => Due::Departures(ends),
                HireDue::Returns => Due::Returns(ends),
            })
        }
    };
    let wanted =
        Wanted { status: filter.status, depot: filter.depot, vehicle: filter.vehicle, due, words: filter.words };
    Ok(hire::list(&tx, caller.scope, &wanted, ask).await?)
}

/// When a day, or one so many days later, ends at each depot within reach, on its own calendar.
pub(super) async fn day_ends(
    tx: &Tx,
    scope: Scope,
    on: Option<Date>,
    now: Instant,
    later: u64,
) -> Result<Vec<(DepotId, Instant)>, Refusal> {
    let depots = depot::all(tx, scope).await?;
    let ends = depots.into_iter().filter_map(|d| {
        let day = on.unwrap_or_else(|| d.zone.date(now));
        let next = day.0.succ_opt()?.checked_add_days(Days::new(later))?;
        Some((d.id, d.zone.instant(next.and_time(NaiveTime::MIN))))
    });
    Ok(ends.collect())
}

pub(super) async fn reached(tx: &Tx, caller: &Caller, id: HireId) -> Result<Hire, Refusal> {
    hire::find(tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("hire"))
}

pub(super) async fn locked(tx: &Tx, caller: &Caller, id: HireId) -> Result<Hire, Refusal> {
    hire::lock(tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("hire"))
}

/// Writes a locked hire, one version on, and where its money stands now.
pub(super) async fn keep(app: &App, tx: &Tx, hire: &mut Hire) -> Result<(), Refusal> {
    let was = hire.version;
    hire.version += 1;
    hire.due_back = hire.agreed().due_back();
    if hire::update(tx, hire, was).await? {
        standing::reckon(app, tx, hire).await
    } else {
        Err(changed_meanwhile(was, was + 1))
    }
}

pub async fn read(app: &App, caller: &Caller, id: HireId) -> Result<Hire, Refusal> {
    caller.must(Action::ReadHires)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, id).await
}

pub async fn create(app: &App, caller: &Caller, asked: NewHire) -> Result<Made<Hire>, Refusal> {
    caller.must(Action::WriteHires)?;
    let digest = digest(&asked)?;
    let tx = app.store.write().await?;
    if let Some((known, made_by)) = hire::known(&tx, asked.id).await? {
        let same = made_by == digest && caller.scope.reaches(known.depot);
        return if same { Ok(Made::known(known)) } else { Err(id_taken("hire")) };
    }
    let id = asked.id;
    let planned = planned(&tx, caller, asked).await?;
    check(&tx, caller, &planned).await?;
    hire::insert(&tx, &planned, digest).await.map_err(|e| taken(e, "hire", "reference", reference_taken))?;
    for person in &planned.drivers {
        if driver::hire_of(&tx, person.id).await?.is_some() {
            return Err(id_taken("driver"));
        }
        driver::put(&tx, id, person).await?;
    }
    let made = reached(&tx, caller, id).await?;
    tx.commit().await?;
    Ok(Made::new(made))
}

/// The hire as agreed, before anything has happened on it.
async fn planned(tx: &Tx, caller: &Caller, asked: NewHire) -> Result<Hire, Refusal> {
    let vehicle = vehicle::find(tx, caller.scope, asked.vehicle).await?;
    let vehicle = vehicle.ok_or_else(|| Refusal::value("/vehicle", "must be a vehicle that you reach"))?;
    let depot = depot::find(tx, caller.scope, asked.depot).await?;
    let depot = depot.ok_or_else(|| Refusal::value("/depot", "must be a depot that you reach"))?;
    Ok(Hire {
        id: asked.id,
        reference: asked.reference.trim().to_owned(),
        depot: asked.depot,
        vehicle: asked.vehicle,
        tariff: asked.tariff.unwrap_or(vehicle.tariff),
        status: HireStatus::Booked,
        agreed_departure: asked.agreed_departure,
        agreed_return: asked.agreed_return,
        extensions: Vec::new(),
        due_back: asked.agreed_return,
        excess: asked.excess,
        outside_excess: asked.outside_excess,
        deposit: asked.deposit,
        deposit_means: asked.deposit_means,
        new_to_layout: asked.new_to_layout,
        pets: asked.pets,
        trailer: asked.trailer,
        trips: asked.trips,
        odometer_replacement: None,
        drivers: asked.drivers,
        departed_at: None,
        returned_at: None,
        settled_at: None,
        cancelled_at: None,
        erased_at: None,
        cancel_reason: None,
        departure: None,
        return_: None,
        zone: depot.zone,
        vehicle_name: vehicle.name,
        vehicle_registration: vehicle.registration,
        version: 1,
    })
}

pub async fn edit(app: &App, caller: &Caller, id: HireId, was: u32, asked: HireEdit) -> Result<Hire, Refusal> {
    caller.must(Action::WriteHires)?;
    let tx = app.store.write().await?;
    let found = locked(&tx, caller, id).await?;
    if found.version != was {
        return Err(changed_meanwhile(was, found.version));
    }
    if found.status != HireStatus::Booked {
        return Err(wrong_state(found.status, "booked"));
    }
    let other_vehicle = asked.vehicle.is_some_and(|v| v != found.vehicle);
    if found.departure.is_some() && other_vehicle {
        return Err(Refusal::new(
            Code::InspectionStarted,
            "The departure of this vehicle has begun: cancel this hire and add another for the other vehicle.",
        ));
    }
    let mut changed = Hire {
        reference: asked.reference.map_or(found.reference, |r| r.trim().to_owned()),
        depot: asked.depot.unwrap_or(found.depot),
        vehicle: asked.vehicle.unwrap_or(found.vehicle),
        tariff: asked.tariff.unwrap_or(found.tariff),
        agreed_departure: asked.agreed_departure.unwrap_or(found.agreed_departure),
        agreed_return: asked.agreed_return.unwrap_or(found.agreed_return),
        excess: asked.excess.unwrap_or(found.excess),
        outside_excess: asked.outside_excess.unwrap_or(found.outside_excess),
        deposit: asked.deposit.unwrap_or(found.deposit),
        deposit_means: asked.deposit_means.unwrap_or(found.deposit_means),
        new_to_layout: asked.new_to_layout.unwrap_or(found.new_to_layout),
        pets: asked.pets.unwrap_or(found.pets),
        trailer: asked.trailer.unwrap_or(found.trailer),
        trips: asked.trips.unwrap_or(found.trips),
        ..found
    };
    check(&tx, caller, &changed).await?;
    changed.version = was + 1;
    changed.due_back = changed.agreed().due_back();
    let written = hire::update(&tx, &changed, was).await;
    if !written.map_err(|e| taken(e, "hire", "reference", reference_taken))? {
        return Err(changed_meanwhile(was, was + 1));
    }
    let changed = reached(&tx, caller, id).await?;
    tx.commit().await?;
    Ok(changed)
}

/// Calls off a booked hire. One called off before stays as it was.
pub async fn cancel(app: &App, caller: &Caller, id: HireId, asked: Cancel) -> Result<Hire, Refusal> {
    caller.must(Action::WriteHires)?;
    let mut checks = Checks::default();
    checks.words("/reason", &asked.reason);
    checks.done()?;
    let tx = app.store.write().await?;
    let mut found = locked(&tx, caller, id).await?;
    if found.status == HireStatus::Cancelled && found.cancel_reason.as_deref() == Some(asked.reason.as_str()) {
        return Ok(found);
    }
    let state = found.state().map_err(Refusal::internal)?.cancel(app.effects.now())?;
    found.enter(state);
    found.cancel_reason = Some(asked.reason);
    keep(app, &tx, &mut found).await?;
    tx.commit().await?;
    Ok(found)
}

/// Records a later return, agreed in writing.
pub async fn extend(
    app: &App,
    caller: &Caller,
    id: HireId,
    idempotency: Idempotency,
    asked: NewExtension,
) -> Result<Replayed, Refusal> {
    caller.must(Action::WriteHires)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    let mut found = locked(&tx, caller, id).await?;
    if !matches!(found.status, HireStatus::Booked | HireStatus::Out) {
        return Err(wrong_state(found.status, "booked or out"));
    }
    let mut checks = Checks::default();
    checks.line("/reference", &asked.reference);
    let later = asked.agreed_return > found.due_back;
    checks.require(later, "/agreed_return", format!("must lie after the return agreed so far, {}", found.due_back));
    checks.done()?;
    found.extensions.push(Extension { agreed_at: now, agreed_return: asked.agreed_return, reference: asked.reference });
    keep(app, &tx, &mut found).await?;
    once::commit(tx, caller, &idempotency, &found, Some(found.version)).await
}

/// Records that the odometer was replaced during the hire.
pub async fn replace_odometer(
    app: &App,
    caller: &Caller,
    id: HireId,
    asked: OdometerReplacement,
) -> Result<Hire, Refusal> {
    caller.must(Action::CorrectOdometer)?;
    let mut checks = Checks::default();
    checks.words("/reason", &asked.reason);
    checks.require(!asked.old_last.is_negative(), "/old_last", "cannot be negative");
    checks.require(!asked.new_first.is_negative(), "/new_first", "cannot be negative");
    checks.done()?;
    let tx = app.store.write().await?;
    let mut found = locked(&tx, caller, id).await?;
    if !matches!(found.status, HireStatus::Out | HireStatus::Returned) {
        return Err(wrong_state(found.status, "out or returned"));
    }
    if found.odometer_replacement.as_ref() != Some(&asked) {
        found.odometer_replacement = Some(asked);
        keep(app, &tx, &mut found).await?;
        tx.commit().await?;
    }
    Ok(found)
}
