use super::check::Checks;
use super::input::Repair;
use super::vehicles::reached;
use super::{App, Caller, Refusal};
use crate::store::mark;
use crate::store::record::{RegisterMark, RegisterState};
use handsel_domain::ids::{MarkId, VehicleId};
use handsel_domain::policy::Action;

/// The damage register of a vehicle, oldest first.
pub async fn list(app: &App, caller: &Caller, id: VehicleId) -> Result<Vec<RegisterMark>, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, id).await?;
    Ok(mark::register(&tx, id).await?)
}

/// Notes that a registered damage was put right. One that was before stays as it was noted.
pub async fn repair(
    app: &App,
    caller: &Caller,
    id: VehicleId,
    damage: MarkId,
    asked: Repair,
) -> Result<RegisterMark, Refusal> {
    caller.must(Action::WriteFleet)?;
    let mut checks = Checks::default();
    checks.words("/note", &asked.note);
    checks.done()?;
    let tx = app.store.write().await?;
    reached(&tx, caller, id).await?;
    let find = |marks: Vec<RegisterMark>| marks.into_iter().find(|m| m.mark.id == damage);
    let missing = || Refusal::not_found("mark in this vehicle's register");
    let found = find(mark::register(&tx, id).await?).ok_or_else(missing)?;
    if found.state == RegisterState::Repaired {
        return Ok(found);
    }
    mark::repair(&tx, damage, &asked.note, caller.staff, app.effects.now()).await?;
    let repaired = find(mark::register(&tx, id).await?).ok_or_else(missing)?;
    tx.commit().await?;
    Ok(repaired)
}
