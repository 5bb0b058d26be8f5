//! Refresh tokens, kept as hashes, and failed sign-ins.

use super::Tx;
use super::convert::at;
use super::entity::{login_failure, refresh_token};
use super::error::Stored;
use super::rows::insert;
use handsel_domain::ids::StaffId;
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, PaginatorTrait, QueryFilter};
use uuid::Uuid;

/// A refresh token as kept.
#[derive(Clone, Debug)]
pub struct Refresh {
    pub id: Uuid,
    /// Every token that came from one sign-in has the same.
    pub family: Uuid,
    pub staff: StaffId,
    pub token_hash: String,
    pub issued_at: Instant,
    pub expires_at: Instant,
    pub used: bool,
    pub revoked: bool,
}

pub async fn keep(tx: &Tx, refresh: &Refresh) -> Stored<()> {
    insert(
        tx,
        refresh_token::Model {
            id: refresh.id,
            family: refresh.family,
            staff_id: refresh.staff.0,
            token_hash: refresh.token_hash.clone(),
            issued_at: refresh.issued_at.utc(),
            expires_at: refresh.expires_at.utc(),
            used_at: None,
            revoked_at: None,
        },
    )
    .await
}

pub async fn by_hash(tx: &Tx, token_hash: &str) -> Stored<Option<Refresh>> {
    let row =
        refresh_token::Entity::find().filter(refresh_token::Column::TokenHash.eq(token_hash)).one(tx.conn()).await?;
    Ok(row.map(|row| Refresh {
        id: row.id,
        family: row.family,
        staff: StaffId(row.staff_id),
        token_hash: row.token_hash,
        issued_at: at(row.issued_at),
        expires_at: at(row.expires_at),
        used: row.used_at.is_some(),
        revoked: row.revoked_at.is_some(),
    }))
}

/// Marks a token as used; says whether it was not before. Of two at once, one is told no.
pub async fn spend(tx: &Tx, id: Uuid, now: Instant) -> Stored<bool> {
    use refresh_token::{Column, Entity};
    let done = Entity::update_many()
        .col_expr(Column::UsedAt, Expr::value(now.utc()))
        .filter(Column::Id.eq(id))
        .filter(Column::UsedAt.is_null())
        .filter(Column::RevokedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}

pub async fn revoke_family(tx: &Tx, family: Uuid, now: Instant) -> Stored<()> {
    use refresh_token::{Column, Entity};
    Entity::update_many()
        .col_expr(Column::RevokedAt, Expr::value(now.utc()))
        .filter(Column::Family.eq(family))
        .filter(Column::RevokedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(())
}

pub async fn revoke_all_of(tx: &Tx, staff: StaffId, now: Instant) -> Stored<()> {
    use refresh_token::{Column, Entity};
    Entity::update_many()
        .col_expr(Column::RevokedAt, Expr::value(now.utc()))
        .filter(Column::StaffId.eq(staff.0))
        .filter(Column::RevokedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Forgets what has run out, so that the table does not grow for ever.
pub async fn forget_expired(tx: &Tx, before: Instant) -> Stored<()> {
    use refresh_token::{Column, Entity};
    Entity::delete_many().filter(Column::ExpiresAt.lt(before.utc())).exec(tx.conn()).await?;
    Ok(())
}

pub async fn note_failure(tx: &Tx, id: Uuid, email: &str, now: Instant) -> Stored<()> {
    insert(tx, login_failure::Model { id, email: email.to_owned(), at: now.utc() }).await
}

pub async fn failures_since(tx: &Tx, email: &str, since: Instant) -> Stored<u64> {
    use login_failure::{Column, Entity};
    let recent = Entity::find().filter(Column::Email.eq(email)).filter(Column::At.gt(since.utc()));
    Ok(recent.count(tx.conn()).await?)
}

/// Forgets the failures of an address, and everybody's that are too old to count.
pub async fn forget_failures(tx: &Tx, email: &str, older_than: Instant) -> Stored<()> {
    use login_failure::{Column, Entity};
    Entity::delete_many().filter(Column::Email.eq(email)).exec(tx.conn()).await?;
    Entity::delete_many().filter(Column::At.lt(older_than.utc())).exec(tx.conn()).await?;
    Ok(())
}
