use super::check::Checks;
use super::input::SightingInput;
use super::open_walk::Walk;
use super::{App, Caller, Refusal};
use crate::store::record::RegisterState;
use crate::store::{Tx, inspection, mark, walk};
use handsel_domain::ids::{InspectionId, MarkId};
use handsel_domain::inspection::{Leg, Mark, Sighting};
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;

/// Records that registered damage was looked at again.
pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    damage: MarkId,
    asked: SightingInput,
) -> Result<Sighting, Refusal> {
    let tx = app.store.write().await?;
    let look = put_in(&tx, caller, of, damage, asked, app.effects.now()).await?;
    tx.commit().await?;
    Ok(look)
}

pub(super) async fn put_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    damage: MarkId,
    asked: SightingInput,
    at: Instant,
) -> Result<Sighting, Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    let look = Sighting {
        mark: damage,
        size_mm: asked.size_mm,
        photos: asked.photos,
        note: asked.note.filter(|n| !n.trim().is_empty()),
    };
    if walk::sightings(tx, of).await?.contains(&look) {
        return Ok(look);
    }
    walk.must_be_open()?;
    let mut checks = Checks::default();
    checks.require(look.size_mm > 0, "/size_mm", "must be at least 1 mm");
    checks.photos(&look.photos, &walk.photo_ids(tx).await?);
    checks.note("/note", look.note.as_deref());
    checks.done()?;
    if !registered(tx, &walk).await?.iter().any(|m| m.id == damage) {
        return Err(Refusal::not_found("open mark in the register this walk-round started with"));
    }
    walk::put_sighting(tx, of, &look, at).await?;
    walk.touch(tx).await?;
    Ok(look)
}

/// Takes back a look. One that is not there is taken back already.
pub async fn remove(app: &App, caller: &Caller, of: InspectionId, damage: MarkId) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    remove_in(&tx, caller, of, damage).await?;
    Ok(tx.commit().await?)
}

pub(super) async fn remove_in(tx: &Tx, caller: &Caller, of: InspectionId, damage: MarkId) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if walk::remove_sighting(tx, of, damage).await? {
        walk.touch(tx).await?;
    }
    Ok(())
}

/// The damage a walk-round can look at again: at departure what is open now, at return what was when it went out.
async fn registered(tx: &Tx, walk: &Walk) -> Result<Vec<Mark>, Refusal> {
    if walk.head.leg == Leg::Return {
        let departure = inspection::of_hire(tx, walk.hire.id, Leg::Departure).await?;
        return Ok(departure.and_then(|d| d.register).unwrap_or_default());
    }
    let register = mark::register(tx, walk.head.vehicle).await?;
    Ok(register.into_iter().filter(|m| m.state == RegisterState::Open).map(|m| m.mark).collect())
}
