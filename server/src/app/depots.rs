use super::check::Checks;
use super::input::{DepotEdit, NewDepot};
use super::once::{Made, changed_meanwhile, digest, id_taken, taken};
use super::{App, Caller, Code, Page, PageAsk, Refusal, Scope};
use crate::store::depot;
use crate::store::record::Depot;
use handsel_domain::ids::DepotId;
use handsel_domain::policy::Action;

pub async fn list(app: &App, caller: &Caller, ask: &PageAsk) -> Result<Page<Depot>, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    Ok(depot::list(&tx, caller.scope, ask).await?)
}

pub async fn read(app: &App, caller: &Caller, id: DepotId) -> Result<Depot, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    depot::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("depot"))
}

/// Adds a depot. Only somebody who reaches every depot would reach it.
pub async fn create(app: &App, caller: &Caller, asked: NewDepot) -> Result<Made<Depot>, Refusal> {
    caller.must(Action::WriteFleet)?;
    if caller.scope != Scope::All {
        return Err(Refusal::new(Code::Forbidden, "A depot is added by a manager of every depot; ask one."));
    }
    let digest = digest(&asked)?;
    let depot = Depot {
        id: asked.id,
        name: asked.name,
        zone: asked.zone,
        address: asked.address,
        phone: asked.phone,
        version: 1,
    };
    check(&depot)?;
    let tx = app.store.write().await?;
    if let Some((known, made_by)) = depot::known(&tx, depot.id).await? {
        return if made_by == digest { Ok(Made::known(known)) } else { Err(id_taken("depot")) };
    }
    depot::insert(&tx, &depot, digest).await.map_err(|e| taken(e, "depot", "id", || id_taken("depot")))?;
    tx.commit().await?;
    Ok(Made::new(depot))
}

pub async fn edit(app: &App, caller: &Caller, id: DepotId, was: u32, asked: DepotEdit) -> Result<Depot, Refusal> {
    caller.must(Action::WriteFleet)?;
    let tx = app.store.write().await?;
    let found = depot::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("depot"))?;
    if found.version != was {
        return Err(changed_meanwhile(was, found.version));
    }
    let changed = Depot {
        id,
        name: asked.name.unwrap_or(found.name),
        zone: asked.zone.unwrap_or(found.zone),
        address: asked.address.unwrap_or(found.address),
        phone: asked.phone.unwrap_or(found.phone),
        version: was + 1,
    };
    check(&changed)?;
    if !depot::update(&tx, &changed, was).await? {
        return Err(changed_meanwhile(was, was + 1));
    }
    tx.commit().await?;
    Ok(changed)
}

fn check(depot: &Depot) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    checks.line("/name", &depot.name);
    checks.may("/address", &depot.address);
    checks.may("/phone", &depot.phone);
    checks.done()
}
