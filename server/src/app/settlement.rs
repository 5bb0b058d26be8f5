use super::hires::{keep, locked, reached};
use super::ledger::replay;
use super::once::{self, Idempotency, Replayed};
use super::{App, Caller, Code, Refusal, case, comparison, postroom};
use crate::store::record::{Hire, NoticeKind};
use crate::store::{Tx, movement};
use handsel_documents::html;
use handsel_documents::statement::{Statement, StatementLine, StatementMovement};
use handsel_domain::ids::HireId;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;

/// Closes the settlement: every line decided, nothing owed, nothing held.
pub async fn settle(
    app: &App,
    caller: &Caller,
    id: HireId,
    idempotency: Idempotency,
    lang: Lang,
) -> Result<Replayed, Refusal> {
    caller.must(Action::CloseSettlement)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    let mut hire = locked(&tx, caller, id).await?;
    let state = hire.state().map_err(Refusal::internal)?.settle(now)?;
    let compared = comparison::reckon(&tx, &hire, lang).await?;
    let open: Vec<&str> = compared.lines.iter().filter(|l| l.state.is_open()).map(|l| l.key.as_str()).collect();
    if !open.is_empty() {
        return Err(Refusal::new(Code::LinesUndecided, format!("Decide these lines first: {}.", open.join(", ")))
            .and("lines", open));
    }
    let recorded = movement::of_hire(&tx, id).await?;
    replay(&hire, &recorded)?.settled(compared.totals.charged).map_err(|left| {
        Refusal::new(
            Code::DepositUnsettled,
            format!(
                "{} is still owed and {} is still held: capture, take payment, release, refund or write off first.",
                left.outstanding, left.held
            ),
        )
        .and("outstanding", left.outstanding)
        .and("held", left.held)
    })?;
    hire.enter(state);
    keep(app, &tx, &mut hire).await?;
    let statement = tell(app, &tx, &hire, lang).await?;
    postroom::announce(app, &tx, id, NoticeKind::HireSettled, &statement.balances).await?;
    postroom::settled(app, &tx, &hire).await?;
    let answer = once::commit(tx, caller, &idempotency, &statement, None).await;
    app.post.notify_one();
    answer
}

/// The hirer's statement: provisional until the settlement is closed.
pub async fn statement(app: &App, caller: &Caller, id: HireId, lang: Lang) -> Result<Statement, Refusal> {
    caller.must(Action::ReadStatement)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    tell(app, &tx, &hire, lang).await
}

/// The statement as a page to read and print.
pub async fn page(app: &App, caller: &Caller, id: HireId, lang: Lang) -> Result<String, Refusal> {
    Ok(html(&statement(app, caller, id, lang).await?, lang))
}

pub(super) async fn tell(app: &App, tx: &Tx, hire: &Hire, lang: Lang) -> Result<Statement, Refusal> {
    let case = case::build(tx, hire).await?;
    let compared = comparison::of(&case, lang)?;
    let recorded = movement::of_hire(tx, hire.id).await?;
    let ledger = replay(hire, &recorded)?;
    Ok(Statement {
        hire: hire.id,
        reference: hire.reference.clone(),
        operator: app.operator.clone(),
        hirer: hire.hirer().map(|d| d.name.clone()).unwrap_or_default(),
        vehicle: case.vehicle.name,
        registration: hire.vehicle_registration.clone(),
        depot: case.depot.name,
        zone: hire.zone,
        agreed_departure: hire.agreed_departure,
        agreed_return: hire.due_back,
        returned_at: hire.returned_at,
        hire_days: compared.hire_days,
        lines: StatementLine::all(&compared),
        charged: compared.totals.charged,
        open_lines: compared.totals.open_lines,
        outstanding: ledger.outstanding(compared.totals.charged).map_err(Refusal::internal)?,
        movements: recorded.iter().map(|m| StatementMovement::from(&m.movement)).collect(),
        balances: ledger.balances(),
        tax: compared.tax,
        closed_at: hire.settled_at,
    })
}
