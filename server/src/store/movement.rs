//! Movements of money: only ever added to.

use super::Tx;
use super::convert::{at, from_word, money, word};
use super::entity::movement::{Column, Entity, Model};
use super::error::Stored;
use super::record::StoredMovement;
use super::rows::insert;
use handsel_domain::deposit::Movement;
use handsel_domain::ids::{HireId, MovementId, StaffId};
use handsel_domain::time::Instant;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

pub(super) fn typed(row: Model) -> Stored<StoredMovement> {
    Ok(StoredMovement {
        by: StaffId(row.by),
        movement: Movement {
            id: MovementId(row.id),
            kind: from_word("movement kind", &row.kind)?,
            means: from_word("movement means", &row.means)?,
            amount: money("movement", row.amount_minor, &row.currency)?,
            reference: row.reference,
            note: row.note,
            payer: row.payer,
            hold_ends_at: row.hold_ends_at.map(at),
            at: at(row.at),
        },
    })
}

/// Oldest first.
pub async fn of_hire(tx: &Tx, hire: HireId) -> Stored<Vec<StoredMovement>> {
    let rows = Entity::find().filter(Column::HireId.eq(hire.0)).order_by_asc(Column::Position).all(tx.conn()).await?;
    rows.into_iter().map(typed).collect()
}

/// The movement of an id, whoever's it is.
pub async fn known(tx: &Tx, id: MovementId) -> Stored<Option<(StoredMovement, HireId)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let hire = HireId(row.hire_id);
    Ok(Some((typed(row)?, hire)))
}

/// Adds a movement to the ledger of a locked hire.
pub async fn add(tx: &Tx, hire: HireId, movement: &Movement, by: StaffId) -> Stored<()> {
    let last = Entity::find().filter(Column::HireId.eq(hire.0)).order_by_desc(Column::Position).one(tx.conn()).await?;
    let row = Model {
        id: movement.id.0,
        hire_id: hire.0,
        position: last.map_or(1, |m| m.position + 1),
        kind: word("movement kind", &movement.kind)?,
        means: word("movement means", &movement.means)?,
        amount_minor: movement.amount.minor,
        currency: movement.amount.currency.code().to_owned(),
        reference: movement.reference.clone(),
        note: movement.note.clone(),
        payer: movement.payer.clone(),
        hold_ends_at: movement.hold_ends_at.map(Instant::utc),
        by: by.0,
        at: movement.at.utc(),
    };
    insert(tx, row).await
}
