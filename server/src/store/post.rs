//! Letters and notices on their way out. Each is written in the transaction of what it tells, with a job to send it.

use super::convert::{at, from_word, word};
use super::entity::{letter, notice};
use super::error::{StoreError, Stored};
use super::record::{Letter, Notice};
use super::rows::insert;
use super::{Tx, job};
use crate::jobs::Kind;
use handsel_domain::ids::HireId;
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};
use uuid::Uuid;

impl TryFrom<letter::Model> for Letter {
    type Error = StoreError;

    fn try_from(row: letter::Model) -> Stored<Self> {
        Ok(Self {
            id: row.id,
            hire: HireId(row.hire_id),
            kind: from_word("kind of letter", &row.kind)?,
            recipient: row.recipient,
            subject: row.subject,
            body: row.body,
            written_at: at(row.written_at),
            sent_at: row.sent_at.map(at),
        })
    }
}

impl TryFrom<notice::Model> for Notice {
    type Error = StoreError;

    fn try_from(row: notice::Model) -> Stored<Self> {
        Ok(Self {
            id: row.id,
            hire: HireId(row.hire_id),
            kind: from_word("kind of notice", &row.kind)?,
            body: row.body,
            at: at(row.at),
            delivered_at: row.delivered_at.map(at),
        })
    }
}

/// Puts a letter into the outbox.
pub async fn write(tx: &Tx, letter: &Letter) -> Stored<()> {
    let row = letter::Model {
        id: letter.id,
        hire_id: letter.hire.0,
        kind: word("kind of letter", &letter.kind)?,
        recipient: letter.recipient.clone(),
        subject: letter.subject.clone(),
        body: letter.body.clone(),
        written_at: letter.written_at.utc(),
        sent_at: None,
    };
    insert(tx, row).await?;
    job::add(tx, Kind::Letter, letter.id, letter.written_at).await
}

pub async fn letter(tx: &Tx, id: Uuid) -> Stored<Option<Letter>> {
    letter::Entity::find_by_id(id).one(tx.conn()).await?.map(Letter::try_from).transpose()
}

/// Oldest first.
pub async fn letters_of(tx: &Tx, hire: HireId) -> Stored<Vec<Letter>> {
    let rows = letter::Entity::find()
        .filter(letter::Column::HireId.eq(hire.0))
        .order_by_asc(letter::Column::WrittenAt)
        .order_by_asc(letter::Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(Letter::try_from).collect()
}

pub async fn sent(tx: &Tx, id: Uuid, now: Instant) -> Stored<()> {
    letter::Entity::update_many()
        .col_expr(letter::Column::SentAt, Expr::value(now.utc()))
        .filter(letter::Column::Id.eq(id))
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Puts a notice into the outbox.
pub async fn announce(tx: &Tx, notice: &Notice) -> Stored<()> {
    let row = notice::Model {
        id: notice.id,
        hire_id: notice.hire.0,
        kind: word("kind of notice", &notice.kind)?,
        body: notice.body.clone(),
        at: notice.at.utc(),
        delivered_at: None,
    };
    insert(tx, row).await?;
    job::add(tx, Kind::Notice, notice.id, notice.at).await
}

pub async fn notice(tx: &Tx, id: Uuid) -> Stored<Option<Notice>> {
    notice::Entity::find_by_id(id).one(tx.conn()).await?.map(Notice::try_from).transpose()
}

pub async fn delivered(tx: &Tx, id: Uuid, now: Instant) -> Stored<()> {
    notice::Entity::update_many()
        .col_expr(notice::Column::DeliveredAt, Expr::value(now.utc()))
        .filter(notice::Column::Id.eq(id))
        .exec(tx.conn())
        .await?;
    Ok(())
}
