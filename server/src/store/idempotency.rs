//! Answers kept for repeated requests. The row and the change it answers are written in one transaction: either both
//! are there or neither.

use super::Tx;
use super::convert::small;
use super::entity::idempotency::{Column, Entity, Model};
use super::error::Stored;
use super::rows::whole;
use handsel_domain::ids::StaffId;
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Expr, OnConflict};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter};

/// What is known of a key.
#[derive(Clone, Debug)]
pub enum Claim {
    /// Nobody used it: it is this request's now.
    Fresh,
    /// The same request was answered before, so.
    Answered { body: String, version: Option<u32> },
    /// Another request used it.
    Other,
}

/// Claims a key. Of two requests at once, the second waits here for the first to end.
pub async fn claim(tx: &Tx, staff: StaffId, key: &str, digest: &str, now: Instant) -> Stored<Claim> {
    let row = Model {
        staff_id: staff.0,
        key: key.to_owned(),
        digest: digest.to_owned(),
        body: None,
        answer_version: None,
        at: now.utc(),
    };
    let conflict = OnConflict::columns([Column::StaffId, Column::Key]).do_nothing().to_owned();
    let added = Entity::insert(whole(row)).on_conflict(conflict).exec_without_returning(tx.conn()).await?;
    if added == 1 {
        return Ok(Claim::Fresh);
    }
    let found = Entity::find_by_id((staff.0, key.to_owned())).one(tx.conn()).await?;
    Ok(match found {
        Some(Model { digest: known, body: Some(body), answer_version, .. }) if known == digest => {
            Claim::Answered { body, version: answer_version.map(|v| small("version", v)).transpose()? }
        }
        _ => Claim::Other,
    })
}

/// Keeps the answer beside the claim.
pub async fn keep(tx: &Tx, staff: StaffId, key: &str, body: &str, version: Option<u32>) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::Body, Expr::value(body))
        .col_expr(Column::AnswerVersion, Expr::value(version.map(i64::from)))
        .filter(Column::StaffId.eq(staff.0))
        .filter(Column::Key.eq(key))
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Gives a claimed key up.
pub async fn release(tx: &Tx, staff: StaffId, key: &str) -> Stored<()> {
    Entity::delete_many().filter(Column::StaffId.eq(staff.0)).filter(Column::Key.eq(key)).exec(tx.conn()).await?;
    Ok(())
}

/// Forgets answers given before a moment: nobody repeats a request that long.
pub async fn forget(tx: &Tx, before: Instant) -> Stored<u64> {
    Ok(Entity::delete_many().filter(Column::At.lt(before.utc())).exec(tx.conn()).await?.rows_affected)
}
