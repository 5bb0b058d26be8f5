//! What people decided about proposed lines: only ever added to.

use super::Tx;
use super::convert::{at, from_word, money, word};
use super::entity::decision::{Column, Entity, Model};
use super::error::Stored;
use super::rows::insert;
use handsel_domain::case::Decision;
use handsel_domain::ids::{DecisionId, HireId, StaffId};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

fn typed(row: Model) -> Stored<Decision> {
    let amount = row.amount_minor.zip(row.currency.as_deref());
    Ok(Decision {
        id: DecisionId(row.id),
        verdict: from_word("verdict", &row.verdict)?,
        amount: amount.map(|(minor, currency)| money("decision", minor, currency)).transpose()?,
        line: row.line,
        reason: row.reason,
        by: Some(StaffId(row.by)),
        at: at(row.at),
    })
}

/// Oldest first.
pub async fn of_hire(tx: &Tx, hire: HireId) -> Stored<Vec<Decision>> {
    let rows = Entity::find().filter(Column::HireId.eq(hire.0)).order_by_asc(Column::Position).all(tx.conn()).await?;
    rows.into_iter().map(typed).collect()
}

/// The decision of an id, whoever's it is.
pub async fn known(tx: &Tx, id: DecisionId) -> Stored<Option<(Decision, HireId)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let hire = HireId(row.hire_id);
    Ok(Some((typed(row)?, hire)))
}

/// Adds a decision on a locked hire.
pub async fn add(tx: &Tx, hire: HireId, decision: &Decision, by: StaffId) -> Stored<()> {
    let last = Entity::find().filter(Column::HireId.eq(hire.0)).order_by_desc(Column::Position).one(tx.conn()).await?;
    let row = Model {
        id: decision.id.0,
        hire_id: hire.0,
        position: last.map_or(1, |d| d.position + 1),
        line: decision.line.clone(),
        verdict: word("verdict", &decision.verdict)?,
        amount_minor: decision.amount.map(|a| a.minor),
        currency: decision.amount.map(|a| a.currency.code().to_owned()),
        reason: decision.reason.clone(),
        by: by.0,
        at: decision.at.utc(),
    };
    insert(tx, row).await
}
