//! Devices and the operations that were handled of each.

use super::Tx;
use super::convert::{at, from_json_opt, json_opt, small};
use super::entity::{device, operation};
use super::error::{StoreError, Stored};
use super::record::Handled;
use super::rows::{insert, whole};
use handsel_domain::ids::{DeviceId, InspectionId, OperationId, StaffId};
use handsel_domain::sync::Turn;
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Expr, OnConflict};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QuerySelect};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// The highest number handled of a device, which nobody else moves until the transaction ends; 0 for a new one.
pub async fn handled(tx: &Tx, id: DeviceId, now: Instant) -> Stored<u32> {
    let new = device::Model { id: id.0, handled: 0, first_at: now.utc(), last_at: now.utc() };
    let known = OnConflict::column(device::Column::Id).do_nothing().to_owned();
    device::Entity::insert(whole(new)).on_conflict(known).exec_without_returning(tx.conn()).await?;
    let row = device::Entity::find_by_id(id.0).lock_exclusive().one(tx.conn()).await?;
    let row = row.ok_or_else(|| StoreError::Damaged(format!("device {id} is not there")))?;
    small("operations handled", row.handled)
}

pub async fn advance(tx: &Tx, id: DeviceId, handled: u32, now: Instant) -> Stored<()> {
    device::Entity::update_many()
        .col_expr(device::Column::Handled, Expr::value(i64::from(handled)))
        .col_expr(device::Column::LastAt, Expr::value(now.utc()))
        .filter(device::Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// The operation of an id that was handled, whoever's.
pub async fn known<R: DeserializeOwned>(tx: &Tx, id: OperationId) -> Stored<Option<(Turn, Handled<R>)>> {
    let Some(row) = operation::Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let turn = Turn {
        device: DeviceId(row.device_id),
        sequence: small("an operation's number", row.sequence)?,
        id: OperationId(row.id),
        content: row.content_sha256,
    };
    let handled = Handled {
        inspection: InspectionId(row.inspection_id),
        staff: StaffId(row.staff_id),
        author: row.author_id.map(StaffId),
        done_at: at(row.done_at),
        received_at: at(row.received_at),
        refusal: from_json_opt("refusal of an operation", row.refusal)?,
    };
    Ok(Some((turn, handled)))
}

pub async fn keep<R: Serialize>(tx: &Tx, turn: &Turn, handled: &Handled<R>) -> Stored<()> {
    let row = operation::Model {
        id: turn.id.0,
        device_id: turn.device.0,
        sequence: i64::from(turn.sequence),
        inspection_id: handled.inspection.0,
        staff_id: handled.staff.0,
        author_id: handled.author.map(|a| a.0),
        done_at: handled.done_at.utc(),
        received_at: handled.received_at.utc(),
        content_sha256: turn.content.clone(),
        refusal: json_opt("refusal of an operation", handled.refusal.as_ref())?,
    };
    insert(tx, row).await
}
