//! Where the money of each hire stands: written with whatever changes it, read by the hundred.

use super::convert::{at, from_json, json, money, small, word};
use super::entity::standing::{Column, Entity, Model};
use super::entity::{hire, movement};
use super::error::Stored;
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::Standing;
use super::rows::whole;
use super::{Scope, Tx};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, HireId};
use handsel_domain::report::Facts;
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Condition, OnConflict, Order, Query};
use sea_orm::{
    ColumnTrait, EntityTrait, Iterable, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect, Select, Value,
};
use serde::Deserialize;
use utoipa::ToSchema;

/// Which of those that wait.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Blocked {
    /// By lines that nobody has decided.
    Undecided,
    /// By an estimate that is not there yet.
    Estimate,
    /// By something the hirer disputes.
    Dispute,
    /// By nothing but money: held or owed.
    Money,
    /// By nothing: the settlement can be closed.
    Nothing,
}

fn typed(row: Model) -> Stored<Standing> {
    let sum = |minor| money("standing", minor, &row.currency);
    Ok(Standing {
        hire: HireId(row.hire_id),
        depot: Some(DepotId(row.depot_id)),
        waiting: row.waiting,
        promised_at: row.promised_at.map(at),
        open_lines: small("open lines", row.open_lines)?,
        weak_lines: small("weak lines", row.weak_lines)?,
        held_lines: small("held lines", row.held_lines)?,
        open_estimates: small("open estimates", row.open_estimates)?,
        open_disputes: small("open disputes", row.open_disputes)?,
        charged: sum(row.charged_minor)?,
        undecided: sum(row.undecided_minor)?,
        held: sum(row.held_minor)?,
        held_card: sum(row.held_card_minor)?,
        outstanding: sum(row.outstanding_minor)?,
        hold_ends_at: row.hold_ends_at.map(at),
    })
}

fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => Entity::find().filter(Column::DepotId.eq(own.0)),
        None => Entity::find(),
    }
}

/// A return, as reports add it up.
#[derive(Clone, Debug)]
pub struct Back {
    pub returned_at: Instant,
    pub facts: Facts,
}

/// Returns of a period, with their hires: at most so many, oldest first.
pub async fn returned(
    tx: &Tx,
    scope: Scope,
    depot: Option<DepotId>,
    (from, to): (Instant, Instant),
    most: u64,
) -> Stored<Vec<(HireId, Back)>> {
    let mut select = within(scope).filter(Column::ReturnedAt.gte(from.utc())).filter(Column::ReturnedAt.lt(to.utc()));
    if let Some(depot) = depot {
        select = select.filter(Column::DepotId.eq(depot.0));
    }
    let rows = select.order_by_asc(Column::ReturnedAt).order_by_asc(Column::HireId).limit(most).all(tx.conn()).await?;
    let mut found = Vec::with_capacity(rows.len());
    for row in rows {
        if let (Some(returned_at), Some(facts)) = (row.returned_at, row.facts) {
            let facts = from_json("facts of a return", facts)?;
            found.push((HireId(row.hire_id), Back { returned_at: at(returned_at), facts }));
        }
    }
    Ok(found)
}

/// Writes where a hire stands now.
pub async fn put(tx: &Tx, depot: DepotId, standing: &Standing, back: Option<&Back>, now: Instant) -> Stored<()> {
    let row = Model {
        hire_id: standing.hire.0,
        depot_id: depot.0,
        waiting: standing.waiting,
        promised_at: standing.promised_at.map(Instant::utc),
        open_lines: i64::from(standing.open_lines),
        weak_lines: i64::from(standing.weak_lines),
        held_lines: i64::from(standing.held_lines),
        open_estimates: i64::from(standing.open_estimates),
        open_disputes: i64::from(standing.open_disputes),
        currency: standing.charged.currency.code().to_owned(),
        charged_minor: standing.charged.minor,
        undecided_minor: standing.undecided.minor,
        held_minor: standing.held.minor,
        held_card_minor: standing.held_card.minor,
        outstanding_minor: standing.outstanding.minor,
        hold_ends_at: standing.hold_ends_at.map(Instant::utc),
        returned_at: back.map(|b| b.returned_at.utc()),
        facts: back.map(|b| json("facts of a return", &b.facts)).transpose()?,
        reckoned_at: now.utc(),
    };
    let rest = Column::iter().filter(|c| !matches!(c, Column::HireId));
    let again = OnConflict::column(Column::HireId).update_columns(rest).to_owned();
    Entity::insert(whole(row)).on_conflict(again).exec_without_returning(tx.conn()).await?;
    Ok(())
}

pub async fn of(tx: &Tx, hire: HireId) -> Stored<Option<Standing>> {
    Entity::find_by_id(hire.0).one(tx.conn()).await?.map(typed).transpose()
}

/// Those that wait, the oldest promise first.
pub async fn waiting(
    tx: &Tx,
    scope: Scope,
    depot: Option<DepotId>,
    blocked: Option<Blocked>,
    ask: &PageAsk,
) -> Stored<Page<Standing>> {
    let mut select = within(scope).filter(Column::Waiting.eq(true));
    if let Some(depot) = depot {
        select = select.filter(Column::DepotId.eq(depot.0));
    }
    let decided = || Condition::all().add(Column::OpenLines.eq(0)).add(Column::OpenDisputes.eq(0));
    let even = || Condition::all().add(Column::HeldMinor.eq(0)).add(Column::OutstandingMinor.eq(0));
    select = match blocked {
        None => select,
        Some(Blocked::Undecided) => select.filter(Column::OpenLines.gt(0)),
        Some(Blocked::Estimate) => select.filter(Column::OpenEstimates.gt(0)),
        Some(Blocked::Dispute) => select.filter(Column::OpenDisputes.gt(0)),
        Some(Blocked::Money) => select.filter(decided().add(even().not())),
        Some(Blocked::Nothing) => select.filter(decided().add(even())),
    };
    let by = By::<Entity> {
        column: Column::PromisedAt,
        id: Column::HireId,
        order: Order::Asc,
        value: |text| text.parse::<Instant>().ok().map(|at| Value::from(at.utc())),
        cursor: |row| Cursor(row.promised_at.map(|p| at(p).to_string()).unwrap_or_default(), row.hire_id),
    };
    page(tx, select, &by, ask).await?.try_map(typed)
}

/// Hires that must stand somewhere and do not yet: kept before there was such a list.
pub async fn missing(tx: &Tx, limit: u64) -> Stored<Vec<HireId>> {
    let known = Query::select().column(Column::HireId).from(Entity).to_owned();
    let moved = Query::select().column(movement::Column::HireId).from(movement::Entity).to_owned();
    let back = [HireStatus::Returned, HireStatus::Settled].iter().map(|s| word("hire status", s));
    let back = back.collect::<Stored<Vec<String>>>()?;
    let ids: Vec<uuid::Uuid> = hire::Entity::find()
        .select_only()
        .column(hire::Column::Id)
        .filter(hire::Column::Id.not_in_subquery(known))
        .filter(Condition::any().add(hire::Column::Status.is_in(back)).add(hire::Column::Id.in_subquery(moved)))
        .order_by_asc(hire::Column::Id)
        .limit(limit)
        .into_tuple()
        .all(tx.conn())
        .await?;
    Ok(ids.into_iter().map(HireId).collect())
}

/// How many wait, and how many of those were promised before a moment.
pub async fn count(tx: &Tx, scope: Scope, now: Instant) -> Stored<(u64, u64)> {
    let all = || within(scope).filter(Column::Waiting.eq(true));
    let late = all().filter(Column::PromisedAt.lt(now.utc()));
    Ok((all().count(tx.conn()).await?, late.count(tx.conn()).await?))
}

/// Card holds that lapse before a moment, the first to lapse first; at most 200.
pub async fn lapsing(tx: &Tx, scope: Scope, before: Instant) -> Stored<Vec<Standing>> {
    let rows = within(scope)
        .filter(Column::HoldEndsAt.lt(before.utc()))
        .filter(Column::HeldCardMinor.gt(0))
        .order_by_asc(Column::HoldEndsAt)
        .order_by_asc(Column::HireId)
        .limit(200)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(typed).collect()
}
