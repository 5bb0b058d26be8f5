//! What hirers dispute, with their photographs.

use super::Tx;
use super::convert::{at, from_json, from_word, json, money, word};
use super::entity::dispute::{Column, Entity, Model};
use super::entity::dispute_photo;
use super::error::{StoreError, Stored};
use super::record::{Contest, ContestPhoto};
use super::rows::insert as insert_row;
use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::ids::{DisputeId, HireId, LinkId, PhotoId, StaffId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect};

impl TryFrom<Model> for Contest {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: DisputeId(row.id),
            hire: HireId(row.hire_id),
            link: LinkId(row.link_id),
            line: row.line,
            amount: money("dispute", row.amount_minor, &row.currency)?,
            words: row.words,
            photos: from_json("photographs of a dispute", row.photos)?,
            raised_at: at(row.raised_at),
            after_settlement: row.after_settlement,
            outcome: row.outcome.map(|o| from_word("outcome of a dispute", &o)).transpose()?,
            answer: row.answer,
            answered_at: row.answered_at.map(at),
            answered_by: row.answered_by.map(StaffId),
        })
    }
}

pub async fn insert(tx: &Tx, contest: &Contest) -> Stored<()> {
    let row = Model {
        id: contest.id.0,
        hire_id: contest.hire.0,
        link_id: contest.link.0,
        line: contest.line.clone(),
        amount_minor: contest.amount.minor,
        currency: contest.amount.currency.code().to_owned(),
        words: contest.words.clone(),
        photos: json("photographs of a dispute", &contest.photos)?,
        raised_at: contest.raised_at.utc(),
        after_settlement: contest.after_settlement,
        outcome: None,
        answer: None,
        answered_at: None,
        answered_by: None,
    };
    insert_row(tx, row).await
}

/// The dispute of an id, whoever's it is.
pub async fn known(tx: &Tx, id: DisputeId) -> Stored<Option<Contest>> {
    Entity::find_by_id(id.0).one(tx.conn()).await?.map(Contest::try_from).transpose()
}

/// Oldest first.
pub async fn of_hire(tx: &Tx, hire: HireId) -> Stored<Vec<Contest>> {
    let rows = Entity::find()
        .filter(Column::HireId.eq(hire.0))
        .order_by_asc(Column::RaisedAt)
        .order_by_asc(Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(Contest::try_from).collect()
}

/// Answers a dispute, once; says whether this was the answer.
pub async fn answer(
    tx: &Tx,
    id: DisputeId,
    outcome: DisputeOutcome,
    words: &str,
    by: Option<StaffId>,
    now: Instant,
) -> Stored<bool> {
    let done = Entity::update_many()
        .col_expr(Column::Outcome, Expr::value(word("outcome of a dispute", &outcome)?))
        .col_expr(Column::Answer, Expr::value(words))
        .col_expr(Column::AnsweredAt, Expr::value(now.utc()))
        .col_expr(Column::AnsweredBy, Expr::value(by.map(|s| s.0)))
        .filter(Column::Id.eq(id.0))
        .filter(Column::Outcome.is_null())
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}

impl TryFrom<dispute_photo::Model> for ContestPhoto {
    type Error = StoreError;

    fn try_from(row: dispute_photo::Model) -> Stored<Self> {
        Ok(Self {
            id: PhotoId(row.id),
            hire: HireId(row.hire_id),
            link: LinkId(row.link_id),
            sha256: row.sha256,
            media_type: row.media_type,
            bytes: u64::try_from(row.bytes).map_err(|e| StoreError::Damaged(format!("bytes of a photograph: {e}")))?,
            received_at: at(row.received_at),
        })
    }
}

pub async fn insert_photo(tx: &Tx, photo: &ContestPhoto) -> Stored<()> {
    let bytes = i64::try_from(photo.bytes).map_err(|e| StoreError::Damaged(format!("bytes of a photograph: {e}")))?;
    let row = dispute_photo::Model {
        id: photo.id.0,
        hire_id: photo.hire.0,
        link_id: photo.link.0,
        sha256: photo.sha256.clone(),
        media_type: photo.media_type.clone(),
        bytes,
        received_at: photo.received_at.utc(),
    };
    insert_row(tx, row).await
}

/// The photograph of an id, whoever's it is.
pub async fn known_photo(tx: &Tx, id: PhotoId) -> Stored<Option<ContestPhoto>> {
    dispute_photo::Entity::find_by_id(id.0).one(tx.conn()).await?.map(ContestPhoto::try_from).transpose()
}

/// In the order they came.
pub async fn photos_of_hire(tx: &Tx, hire: HireId) -> Stored<Vec<ContestPhoto>> {
    let rows = dispute_photo::Entity::find()
        .filter(dispute_photo::Column::HireId.eq(hire.0))
        .order_by_asc(dispute_photo::Column::ReceivedAt)
        .order_by_asc(dispute_photo::Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(ContestPhoto::try_from).collect()
}

/// How the disputes of some hires ended; none: not yet.
pub async fn outcomes(tx: &Tx, hires: &[HireId]) -> Stored<Vec<(HireId, Option<DisputeOutcome>)>> {
    let rows: Vec<(uuid::Uuid, Option<String>)> = Entity::find()
        .select_only()
        .columns([Column::HireId, Column::Outcome])
        .filter(Column::HireId.is_in(hires.iter().map(|id| id.0)))
        .into_tuple()
        .all(tx.conn())
        .await?;
    rows.into_iter()
        .map(|(hire, outcome)| Ok((HireId(hire), outcome.map(|o| from_word("outcome of a dispute", &o)).transpose()?)))
        .collect()
}
