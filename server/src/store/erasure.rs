//! Taking personal data out of what is kept. Hashes stay, and so does money.

use super::Tx;
use super::convert::{at, word};
use super::entity::{
    addendum, bank_entry, bank_match, dispute, dispute_photo, driver, entry, erasure, hire, inspection, letter, link,
    notice, photo, seal, seal_dispute, sighting, signature, standing,
};
use super::error::Stored;
use super::record::Erasure;
use super::rows::insert as insert_row;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{HireId, InspectionId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Condition, Expr, Query};
use sea_orm::{ColumnTrait, EntityTrait, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect};
use serde_json::{Value, json};
use uuid::Uuid;

/// Hires that ended before a moment and still hold personal data, the earliest first. One with money held, or a
/// dispute that nobody answered, is not over.
pub async fn due(tx: &Tx, before: Instant, limit: u64) -> Stored<Vec<HireId>> {
    let unsettled = Query::select()
        .column(standing::Column::HireId)
        .from(standing::Entity)
        .cond_where(Condition::any().add(standing::Column::OpenDisputes.gt(0)).add(standing::Column::HeldMinor.ne(0)))
        .to_owned();
    let settled = Condition::all()
        .add(hire::Column::Status.eq(word("hire status", &HireStatus::Settled)?))
        .add(hire::Column::SettledAt.lt(before.utc()));
    let cancelled = Condition::all()
        .add(hire::Column::Status.eq(word("hire status", &HireStatus::Cancelled)?))
        .add(hire::Column::CancelledAt.lt(before.utc()));
    let ids: Vec<Uuid> = hire::Entity::find()
        .select_only()
        .column(hire::Column::Id)
        .filter(hire::Column::ErasedAt.is_null())
        .filter(hire::Column::Id.not_in_subquery(unsettled))
        .filter(Condition::any().add(settled).add(cancelled))
        .order_by_asc(hire::Column::Id)
        .limit(limit)
        .into_tuple()
        .all(tx.conn())
        .await?;
    Ok(ids.into_iter().map(HireId).collect())
}

/// Originals of photographs that belonged to nobody else.
pub async fn originals_of(tx: &Tx, inspections: &[InspectionId]) -> Stored<Vec<String>> {
    let ids = || inspections.iter().map(|i| i.0);
    let own: Vec<String> = photo::Entity::find()
        .select_only()
        .column(photo::Column::Sha256)
        .distinct()
        .filter(photo::Column::InspectionId.is_in(ids()))
        .into_tuple()
        .all(tx.conn())
        .await?;
    let mut alone = Vec::with_capacity(own.len());
    for sha256 in own {
        let elsewhere = photo::Entity::find()
            .filter(photo::Column::Sha256.eq(sha256.as_str()))
            .filter(photo::Column::InspectionId.is_not_in(ids()));
        if elsewhere.count(tx.conn()).await? == 0 {
            alone.push(sha256);
        }
    }
    Ok(alone)
}

/// Takes out who the hirer was, what they wrote and drew, and the sealed texts that say it. Gives the hashes of
/// photographs that came with disputes and are in no walk-round.
pub async fn wipe(tx: &Tx, id: HireId, inspections: &[InspectionId], now: Instant) -> Stored<Vec<String>> {
    let conn = tx.conn();
    let empty = || Expr::value("");
    let ids = || inspections.iter().map(|i| i.0);
    driver::Entity::update_many()
        .col_expr(driver::Column::Name, empty())
        .col_expr(driver::Column::Email, empty())
        .col_expr(driver::Column::Phone, empty())
        .filter(driver::Column::HireId.eq(id.0))
        .exec(conn)
        .await?;
    signature::Entity::update_many()
        .col_expr(signature::Column::Name, empty())
        .col_expr(signature::Column::Strokes, Expr::value(json!([])))
        .filter(signature::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    seal::Entity::update_many()
        .col_expr(seal::Column::Record, empty())
        .col_expr(seal::Column::Document, empty())
        .filter(seal::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    addendum::Entity::update_many()
        .col_expr(addendum::Column::Words, empty())
        .col_expr(addendum::Column::Document, empty())
        .filter(addendum::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    seal_dispute::Entity::update_many()
        .col_expr(seal_dispute::Column::DeviceRecord, Expr::value(None::<Value>))
        .col_expr(seal_dispute::Column::ServerRecord, empty())
        .filter(seal_dispute::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    entry::Entity::update_many()
        .col_expr(entry::Column::Note, Expr::value(None::<String>))
        .filter(entry::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    sighting::Entity::update_many()
        .col_expr(sighting::Column::Note, Expr::value(None::<String>))
        .filter(sighting::Column::InspectionId.is_in(ids()))
        .exec(conn)
        .await?;
    let sent: Vec<String> = dispute_photo::Entity::find()
        .select_only()
        .column(dispute_photo::Column::Sha256)
        .filter(dispute_photo::Column::HireId.eq(id.0))
        .into_tuple()
        .all(conn)
        .await?;
    dispute::Entity::update_many()
        .col_expr(dispute::Column::Words, Expr::value("-"))
        .col_expr(dispute::Column::Photos, Expr::value(json!([])))
        .filter(dispute::Column::HireId.eq(id.0))
        .exec(conn)
        .await?;
    dispute_photo::Entity::delete_many().filter(dispute_photo::Column::HireId.eq(id.0)).exec(conn).await?;
    letter::Entity::delete_many().filter(letter::Column::HireId.eq(id.0)).exec(conn).await?;
    notice::Entity::delete_many().filter(notice::Column::HireId.eq(id.0)).exec(conn).await?;
    link::Entity::update_many()
        .col_expr(link::Column::ExpiresAt, Expr::value(now.utc()))
        .filter(link::Column::HireId.eq(id.0))
        .filter(link::Column::ExpiresAt.gt(now.utc()))
        .exec(conn)
        .await?;
    let matched = Query::select()
        .column(bank_match::Column::EntryId)
        .from(bank_match::Entity)
        .and_where(bank_match::Column::HireId.eq(id.0))
        .to_owned();
    bank_entry::Entity::update_many()
        .col_expr(bank_entry::Column::Party, Expr::value(None::<String>))
        .col_expr(bank_entry::Column::Words, empty())
        .filter(bank_entry::Column::Id.in_subquery(matched))
        .exec(conn)
        .await?;
    for row in inspection::Entity::find().filter(inspection::Column::Id.is_in(ids())).all(conn).await? {
        if let Some(mut absence) = row.absence
            && let Some(reason) = absence.get_mut("reason")
        {
            *reason = json!("-");
            inspection::Entity::update_many()
                .col_expr(inspection::Column::Absence, Expr::value(absence))
                .filter(inspection::Column::Id.eq(row.id))
                .exec(conn)
                .await?;
        }
    }
    hire::Entity::update_many()
        .col_expr(hire::Column::ErasedAt, Expr::value(now.utc()))
        .filter(hire::Column::Id.eq(id.0))
        .exec(conn)
        .await?;
    let mut alone = Vec::new();
    for sha256 in sent {
        let taken = photo::Entity::find().filter(photo::Column::Sha256.eq(sha256.as_str()));
        let sent_elsewhere = dispute_photo::Entity::find().filter(dispute_photo::Column::Sha256.eq(sha256.as_str()));
        if taken.count(conn).await? == 0 && sent_elsewhere.count(conn).await? == 0 {
            alone.push(sha256);
        }
    }
    Ok(alone)
}

pub async fn insert(tx: &Tx, made: &Erasure) -> Stored<()> {
    let row = erasure::Model {
        hire_id: made.hire.0,
        at: made.at.utc(),
        document: made.document.clone(),
        sha256: made.sha256.clone(),
        signature: made.signature.clone(),
        key_id: made.key_id.clone(),
        public_key: made.public_key.clone(),
    };
    insert_row(tx, row).await
}

pub async fn of(tx: &Tx, hire: HireId) -> Stored<Option<Erasure>> {
    let row = erasure::Entity::find_by_id(hire.0).one(tx.conn()).await?;
    Ok(row.map(|row| Erasure {
        hire: HireId(row.hire_id),
        at: at(row.at),
        document: row.document,
        sha256: row.sha256,
        signature: row.signature,
        key_id: row.key_id,
        public_key: row.public_key,
    }))
}
