//! Links by which hirers read their own hire.

use super::Tx;
use super::convert::{at, from_word, word};
use super::entity::link::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::record::Link;
use super::rows::insert as insert_row;
use handsel_domain::ids::{HireId, LinkId, StaffId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

impl TryFrom<Model> for Link {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: LinkId(row.id),
            hire: HireId(row.hire_id),
            lang: from_word("language of a link", &row.lang)?,
            issued_at: at(row.issued_at),
            issued_by: StaffId(row.issued_by),
            expires_at: at(row.expires_at),
            revoked_at: row.revoked_at.map(at),
            revoked_by: row.revoked_by.map(StaffId),
            opened_at: row.opened_at.map(at),
        })
    }
}

pub async fn insert(tx: &Tx, link: &Link) -> Stored<()> {
    let row = Model {
        id: link.id.0,
        hire_id: link.hire.0,
        lang: word("language of a link", &link.lang)?,
        issued_at: link.issued_at.utc(),
        issued_by: link.issued_by.0,
        expires_at: link.expires_at.utc(),
        revoked_at: None,
        revoked_by: None,
        opened_at: None,
    };
    insert_row(tx, row).await
}

/// The link of an id, whoever's it is. It is followed by strangers: the token that names it is what lets them in.
pub async fn known(tx: &Tx, id: LinkId) -> Stored<Option<Link>> {
    Entity::find_by_id(id.0).one(tx.conn()).await?.map(Link::try_from).transpose()
}

/// Newest first.
pub async fn of_hire(tx: &Tx, hire: HireId) -> Stored<Vec<Link>> {
    let rows = Entity::find()
        .filter(Column::HireId.eq(hire.0))
        .order_by_desc(Column::IssuedAt)
        .order_by_desc(Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(Link::try_from).collect()
}

/// Takes a link back; one taken back already stays as it was.
pub async fn revoke(tx: &Tx, id: LinkId, by: StaffId, now: Instant) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::RevokedAt, Expr::value(now.utc()))
        .col_expr(Column::RevokedBy, Expr::value(by.0))
        .filter(Column::Id.eq(id.0))
        .filter(Column::RevokedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Notes that a link was followed.
pub async fn opened(tx: &Tx, id: LinkId, now: Instant) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::OpenedAt, Expr::value(now.utc()))
        .filter(Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}
