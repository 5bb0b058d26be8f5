use super::check::Checks;
use super::hire_rules::{check_driver, wrong_state};
use super::hires::{keep, locked, reached};
use super::input::DriverDetails;
use super::once::id_taken;
use super::{App, Caller, Refusal};
use crate::store::driver;
use crate::store::record::{Driver, Hire};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DriverId, HireId};
use handsel_domain::policy::Action;

fn may_change(hire: &Hire) -> Result<(), Refusal> {
    match hire.status {
        HireStatus::Booked | HireStatus::Out => Ok(()),
        other => Err(wrong_state(other, "booked or out")),
    }
}

/// Adds a driver or replaces one's details.
pub async fn put(
    app: &App,
    caller: &Caller,
    id: HireId,
    person: DriverId,
    asked: DriverDetails,
) -> Result<Hire, Refusal> {
    caller.must(Action::WriteHires)?;
    let person = Driver { id: person, name: asked.name, email: asked.email, phone: asked.phone, lead: asked.lead };
    let mut checks = Checks::default();
    check_driver(&mut checks, &person, "");
    checks.done()?;
    let tx = app.store.write().await?;
    let mut hire = locked(&tx, caller, id).await?;
    if hire.drivers.contains(&person) {
        return Ok(hire);
    }
    may_change(&hire)?;
    if driver::hire_of(&tx, person.id).await?.is_some_and(|other| other != id) {
        return Err(id_taken("driver"));
    }
    driver::put(&tx, id, &person).await?;
    keep(app, &tx, &mut hire).await?;
    let changed = reached(&tx, caller, id).await?;
    tx.commit().await?;
    Ok(changed)
}

/// Takes a driver off a hire. One who is not on it is off it already.
pub async fn remove(app: &App, caller: &Caller, id: HireId, person: DriverId) -> Result<(), Refusal> {
    caller.must(Action::WriteHires)?;
    let tx = app.store.write().await?;
    let mut hire = locked(&tx, caller, id).await?;
    if !hire.drivers.iter().any(|d| d.id == person) {
        return Ok(());
    }
    may_change(&hire)?;
    driver::remove(&tx, id, person).await?;
    keep(app, &tx, &mut hire).await?;
    tx.commit().await?;
    Ok(())
}
