//! What is pointed at on a return's photographs, and what people made of it.

use super::Tx;
use super::convert::{at, from_json, from_word, json, word};
use super::entity::{photo_disposition, photo_pointing};
use super::error::Stored;
use super::record::{Disposed, Pointing};
use super::rows::whole;
use handsel_domain::ids::{MarkId, PhotoId, StaffId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::OnConflict;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QuerySelect};
use std::collections::BTreeSet;
use uuid::Uuid;

/// Keeps what a comparison came to. One that was made before stays, with the ids of its pointers.
pub async fn keep(tx: &Tx, photo: PhotoId, pointing: &Pointing, now: Instant) -> Stored<()> {
    use photo_pointing::{Column, Entity, Model};
    let row = Model {
        photo_id: photo.0,
        before_id: pointing.before.0,
        state: word("state of a comparison", &pointing.state)?,
        pointers: json("pointers", &pointing.pointers)?,
        made_at: now.utc(),
    };
    let known = OnConflict::column(Column::PhotoId).do_nothing().to_owned();
    Entity::insert(whole(row)).on_conflict(known).exec_without_returning(tx.conn()).await?;
    Ok(())
}

pub async fn of(tx: &Tx, photo: PhotoId) -> Stored<Option<Pointing>> {
    let Some(row) = photo_pointing::Entity::find_by_id(photo.0).one(tx.conn()).await? else { return Ok(None) };
    Ok(Some(Pointing {
        before: PhotoId(row.before_id),
        state: from_word("state of a comparison", &row.state)?,
        pointers: from_json("pointers", row.pointers)?,
    }))
}

/// Which of some photographs could not be laid over their departure's.
pub async fn not_aligned(tx: &Tx, photos: &[PhotoId]) -> Stored<BTreeSet<PhotoId>> {
    use photo_pointing::{Column, Entity};
    let state = word("state of a comparison", &super::record::PointedState::NotAligned)?;
    let found: Vec<Uuid> = Entity::find()
        .select_only()
        .column(Column::PhotoId)
        .filter(Column::PhotoId.is_in(photos.iter().map(|p| p.0)))
        .filter(Column::State.eq(state))
        .into_tuple()
        .all(tx.conn())
        .await?;
    Ok(found.into_iter().map(PhotoId).collect())
}

/// What people made of the pointers of a photograph.
pub async fn disposed(tx: &Tx, photo: PhotoId) -> Stored<Vec<Disposed>> {
    use photo_disposition::{Column, Entity};
    let rows = Entity::find().filter(Column::PhotoId.eq(photo.0)).all(tx.conn()).await?;
    rows.into_iter()
        .map(|row| {
            Ok(Disposed {
                pointer: row.pointer_id,
                disposition: from_word("disposition", &row.disposition)?,
                mark: row.mark_id.map(MarkId),
                by: StaffId(row.staff_id),
                at: at(row.at),
            })
        })
        .collect()
}

pub async fn dispose(tx: &Tx, photo: PhotoId, made: &Disposed) -> Stored<()> {
    use photo_disposition::{Column, Entity, Model};
    let row = Model {
        photo_id: photo.0,
        pointer_id: made.pointer,
        disposition: word("disposition", &made.disposition)?,
        mark_id: made.mark.map(|m| m.0),
        staff_id: made.by.0,
        at: made.at.utc(),
    };
    let replace = OnConflict::columns([Column::PhotoId, Column::PointerId])
        .update_columns([Column::Disposition, Column::MarkId, Column::StaffId, Column::At])
        .to_owned();
    Entity::insert(whole(row)).on_conflict(replace).exec_without_returning(tx.conn()).await?;
    Ok(())
}
