use super::check::Checks;
use super::comparison::{back, charged};
use super::hire_rules::wrong_state;
use super::hires::{locked, reached};
use super::input::NewMovement;
use super::once::{self, Idempotency, Replayed, id_taken};
use super::view::Ledger as LedgerView;
use super::{App, Caller, Code, Refusal, postroom, standing};
use crate::store::record::{Hire, LedgerMovement, NoticeKind, StoredMovement};
use crate::store::{Tx, movement, staff};
use handsel_domain::deposit::{Ledger, Movement, MovementKind, MovementRefused};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::HireId;
use handsel_domain::money::Money;
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;

/// The deposit's ledger with its balances.
pub async fn read(app: &App, caller: &Caller, id: HireId) -> Result<LedgerView, Refusal> {
    caller.must(Action::ReadLedger)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    let owed = charged(&hire, back(&tx, &hire).await?.as_ref());
    view(&tx, &hire, owed).await
}

/// Records a movement. The hire is locked meanwhile, so that two at once cannot both take what is there once.
pub async fn post(
    app: &App,
    caller: &Caller,
    id: HireId,
    idempotency: Idempotency,
    asked: NewMovement,
) -> Result<Replayed, Refusal> {
    caller.must(Action::PostMovements)?;
    let now = app.effects.now();
    checked(&asked)?;
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    let hire = locked(&tx, caller, id).await?;
    let Taken { owed, .. } = take(app, &tx, caller, &hire, asked, now).await?;
    let view = view(&tx, &hire, owed).await?;
    let answer = once::commit(tx, caller, &idempotency, &view, None).await;
    app.post.notify_one();
    answer
}

/// Whether what was asked for can be a movement at all.
pub(super) fn checked(asked: &NewMovement) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    checks.may("/reference", asked.reference.as_deref().unwrap_or_default());
    checks.note("/note", asked.note.as_deref());
    checks.may("/payer", asked.payer.as_deref().unwrap_or_default());
    checks.no_card("/reference", asked.reference.as_deref());
    checks.no_card("/note", asked.note.as_deref());
    checks.no_card("/payer", asked.payer.as_deref());
    let ends = asked.hold_ends_at.is_none() || holds(asked.kind);
    checks.require(ends, "/hold_ends_at", "only a hold that is placed or extended has an end");
    checks.done()
}

const fn holds(kind: MovementKind) -> bool {
    matches!(kind, MovementKind::HoldPlaced | MovementKind::HoldExtended)
}

/// A movement that is recorded.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taken {
    /// It was not recorded before.
    pub fresh: bool,
    /// What accepted lines come to.
    pub owed: Money,
}

/// Records what was asked for, of a locked hire, once.
pub(super) async fn take(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    hire: &Hire,
    asked: NewMovement,
    at: Instant,
) -> Result<Taken, Refusal> {
    if holds(asked.kind) && matches!(hire.status, HireStatus::Cancelled | HireStatus::Settled) {
        return Err(wrong_state(hire.status, "booked, out or returned"));
    }
    let NewMovement { id, kind, means, amount, reference, note, payer, hold_ends_at } = asked;
    record(app, tx, caller, hire, &Movement { id, kind, means, amount, reference, note, payer, hold_ends_at, at }).await
}

/// Records a movement of a locked hire, once.
pub(super) async fn record(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    hire: &Hire,
    wanted: &Movement,
) -> Result<Taken, Refusal> {
    caller.must(Action::PostMovements)?;
    // Reckoned once: no movement changes what lines come to.
    let back = back(tx, hire).await?;
    let owed = charged(hire, back.as_ref());
    match movement::known(tx, wanted.id).await? {
        // Sent before with another key: it is recorded, once.
        Some((known, of))
            if of == hire.id && known.movement == (Movement { at: known.movement.at, ..wanted.clone() }) =>
        {
            return Ok(Taken { fresh: false, owed });
        }
        Some(_) => return Err(id_taken("movement")),
        None => {}
    }
    let recorded = movement::of_hire(tx, hire.id).await?;
    replay(hire, &recorded)?.post(wanted, Some(owed)).map_err(refused)?;
    movement::add(tx, hire.id, wanted, caller.staff).await?;
    standing::reckoned(app, tx, hire, back.as_ref().map(|(case, compared)| (case, compared))).await?;
    postroom::announce(app, tx, hire.id, NoticeKind::MovementRecorded, wanted).await?;
    Ok(Taken { fresh: true, owed })
}

pub(super) fn replay(hire: &Hire, recorded: &[StoredMovement]) -> Result<Ledger, Refusal> {
    let movements = recorded.iter().map(|m| &m.movement);
    Ledger::replay(hire.deposit.currency, movements)
        .map_err(|(id, why)| Refusal::internal(format!("movement {id} of hire {} does not replay: {why}", hire.id)))
}

fn refused(why: MovementRefused) -> Refusal {
    let refusal = |reason: &str| {
        Refusal::new(Code::MovementRefused, format!("The movement was not recorded: {why}.")).and("reason", reason)
    };
    match why {
        MovementRefused::NotPositive => refusal("not_positive"),
        MovementRefused::BeyondHeld { held, .. } => refusal("beyond_held").and("held", held),
        MovementRefused::BeyondOwed { owed, .. } => refusal("beyond_owed").and("outstanding", owed),
        MovementRefused::BeyondReceived { received, .. } => refusal("beyond_received").and("received", received),
        MovementRefused::WrongMeans { .. } => refusal("wrong_means"),
        MovementRefused::Money(_) => refusal("money"),
    }
}

async fn view(tx: &Tx, hire: &Hire, owed: Money) -> Result<LedgerView, Refusal> {
    let recorded = movement::of_hire(tx, hire.id).await?;
    let ledger = replay(hire, &recorded)?;
    let names = staff::names(tx, recorded.iter().map(|m| m.by)).await?;
    let named = recorded
        .into_iter()
        .map(|m| LedgerMovement { by_name: names.get(&m.by).cloned().unwrap_or_default(), movement: m.movement });
    Ok(LedgerView {
        movements: named.collect(),
        balances: ledger.balances(),
        owed,
        outstanding: ledger.outstanding(owed).map_err(Refusal::internal)?,
        agreed_deposit: hire.deposit,
    })
}
