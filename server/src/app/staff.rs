use super::check::{Checks, is_email};
use super::input::{NewStaff, StaffEdit};
use super::once::{Made, changed_meanwhile, digest, id_taken, taken};
use super::{App, Caller, Code, Page, PageAsk, Refusal, auth};
use crate::store::record::Staff;
use crate::store::{Scope, Tx, depot, session, staff};
use handsel_domain::ids::{DepotId, StaffId};
use handsel_domain::policy::{Action, Role};

const SHORTEST_PASSWORD: usize = 12;
const LONGEST_PASSWORD: usize = 200;

pub async fn me(app: &App, caller: &Caller) -> Result<Staff, Refusal> {
    caller.must(Action::SelfService)?;
    let tx = app.store.read().await?;
    staff::find(&tx, Scope::All, caller.staff).await?.ok_or_else(|| Refusal::not_found("member of staff"))
}

pub async fn list(app: &App, caller: &Caller, ask: &PageAsk) -> Result<Page<Staff>, Refusal> {
    caller.must(Action::ReadStaff)?;
    let tx = app.store.read().await?;
    Ok(staff::list(&tx, caller.scope, ask).await?)
}

pub async fn read(app: &App, caller: &Caller, id: StaffId) -> Result<Staff, Refusal> {
    caller.must(Action::ReadStaff)?;
    let tx = app.store.read().await?;
    staff::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("member of staff"))
}

pub async fn create(app: &App, caller: &Caller, asked: NewStaff) -> Result<Made<Staff>, Refusal> {
    caller.must(Action::WriteStaff)?;
    let hash = auth::hash(&app.effects, checked(&asked)?).await?;
    let digest = digest(&asked)?;
    let tx = app.store.write().await?;
    if let Some((known, made_by)) = staff::known(&tx, asked.id).await? {
        let same = made_by == digest && reaches(caller, known.depot);
        return if same { Ok(Made::known(known)) } else { Err(id_taken("member of staff")) };
    }
    may_place(&tx, caller, asked.depot).await?;
    let person = person(asked);
    staff::insert(&tx, &person, hash, digest).await.map_err(|e| taken(e, "member of staff", "email", email_taken))?;
    tx.commit().await?;
    Ok(Made::new(person))
}

/// The first account of a new installation: a manager of every depot. Refused once there is anybody.
pub async fn found(app: &App, asked: NewStaff) -> Result<Staff, Refusal> {
    let hash = auth::hash(&app.effects, checked(&asked)?).await?;
    let digest = digest(&asked)?;
    let tx = app.store.write().await?;
    if staff::any(&tx).await? {
        return Err(Refusal::new(Code::Forbidden, "There are accounts already: a manager adds further ones."));
    }
    let person = Staff { role: Role::Manager, depot: None, ..person(asked) };
    staff::insert(&tx, &person, hash, digest).await?;
    tx.commit().await?;
    Ok(person)
}

pub async fn edit(app: &App, caller: &Caller, id: StaffId, was: u32, asked: StaffEdit) -> Result<Staff, Refusal> {
    caller.must(Action::WriteStaff)?;
    let mut checks = Checks::default();
    if let Some(name) = &asked.name {
        checks.line("/name", name);
    }
    if let Some(password) = &asked.password {
        check_password(&mut checks, password);
    }
    let oneself = id == caller.staff;
    checks.require(!(oneself && asked.active == Some(false)), "/active", "nobody closes their own account");
    checks.require(
        !(oneself && asked.role.is_some_and(|r| r != caller.role)),
        "/role",
        "nobody changes their own role",
    );
    checks.done()?;
    let hash = match asked.password {
        Some(password) => Some(auth::hash(&app.effects, password).await?),
        None => None,
    };
    let tx = app.store.write().await?;
    let found = staff::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("member of staff"))?;
    if found.version != was {
        return Err(changed_meanwhile(was, found.version));
    }
    if let Some(depot) = asked.depot {
        may_place(&tx, caller, depot).await?;
    }
    let changed = Staff {
        name: asked.name.unwrap_or(found.name),
        role: asked.role.unwrap_or(found.role),
        depot: asked.depot.unwrap_or(found.depot),
        active: asked.active.unwrap_or(found.active),
        version: was + 1,
        ..found
    };
    let signs_out = hash.is_some() || !changed.active;
    if !staff::update(&tx, &changed, hash, was).await? {
        return Err(changed_meanwhile(was, was + 1));
    }
    if signs_out {
        session::revoke_all_of(&tx, id, app.effects.now()).await?;
    }
    tx.commit().await?;
    Ok(changed)
}

fn person(asked: NewStaff) -> Staff {
    Staff {
        id: asked.id,
        email: asked.email.trim().to_lowercase(),
        name: asked.name,
        role: asked.role,
        depot: asked.depot,
        active: true,
        version: 1,
    }
}

/// The password, once everything about a new member of staff is in order.
fn checked(asked: &NewStaff) -> Result<String, Refusal> {
    let mut checks = Checks::default();
    checks.line("/name", &asked.name);
    checks.require(is_email(asked.email.trim()), "/email", "must be an address such as ada@desk.example");
    checks.may("/email", &asked.email);
    check_password(&mut checks, &asked.password);
    checks.done()?;
    Ok(asked.password.clone())
}

fn check_password(checks: &mut Checks, password: &str) {
    let length = password.chars().count();
    let fits = (SHORTEST_PASSWORD..=LONGEST_PASSWORD).contains(&length);
    checks.require(fits, "/password", format!("must have {SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters"));
}

fn reaches(caller: &Caller, depot: Option<DepotId>) -> bool {
    match (caller.scope, depot) {
        (Scope::All, _) => true,
        (own, Some(depot)) => own.reaches(depot),
        (Scope::Depot(_), None) => false,
    }
}

/// Nobody gives anybody a wider reach than their own.
async fn may_place(tx: &Tx, caller: &Caller, depot: Option<DepotId>) -> Result<(), Refusal> {
    let there = match depot {
        Some(depot) => depot::find(tx, caller.scope, depot).await?.is_some(),
        None => caller.scope == Scope::All,
    };
    if there { Ok(()) } else { Err(Refusal::value("/depot", "must be a depot that you reach yourself")) }
}

fn email_taken() -> Refusal {
    Refusal::new(Code::EmailTaken, "Somebody has this address already: use another, or change their account.")
}
