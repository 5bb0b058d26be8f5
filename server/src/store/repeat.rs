//! Photographs that are earlier ones again.

use super::Tx;
use super::convert::{at, from_word, word};
use super::entity::photo_repeat::{Column, Entity, Model};
use super::entity::{inspection, photo};
use super::error::Stored;
use super::record::Sighted;
use super::rows::whole;
use handsel_domain::ids::{HireId, PhotoId, VehicleId};
use handsel_domain::inspection::Repeat;
use sea_orm::sea_query::OnConflict;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Most photographs of one content that are looked at: a picture sent this often is known by the first of them.
const MOST: u64 = 200;

/// Photographs of some contents, oldest first, whoever's they are; one of them for certain.
pub async fn sighted(tx: &Tx, hashes: Vec<String>, one: PhotoId) -> Stored<Vec<Sighted>> {
    let mut photos = photo::Entity::find()
        .filter(photo::Column::Sha256.is_in(hashes))
        .filter(photo::Column::ArrivedAt.is_not_null())
        .order_by_asc(photo::Column::ReceivedAt)
        .order_by_asc(photo::Column::Id)
        .limit(MOST)
        .all(tx.conn())
        .await?;
    if photos.iter().all(|p| p.id != one.0) {
        // It came so late that it is none of the first.
        photos.extend(photo::Entity::find_by_id(one.0).one(tx.conn()).await?);
    }
    let inspections = inspection::Entity::find()
        .filter(inspection::Column::Id.is_in(photos.iter().map(|p| p.inspection_id)))
        .all(tx.conn())
        .await?;
    let inspections: BTreeMap<Uuid, inspection::Model> = inspections.into_iter().map(|i| (i.id, i)).collect();
    let mut found = Vec::new();
    for photo in photos {
        let Some(walk) = inspections.get(&photo.inspection_id) else { continue };
        found.push(Sighted {
            id: PhotoId(photo.id),
            sha256: photo.sha256,
            received_at: at(photo.received_at),
            leg: from_word("leg", &walk.leg)?,
            hire: HireId(walk.hire_id),
            vehicle: VehicleId(walk.vehicle_id),
        });
    }
    Ok(found)
}

/// Keeps that a photograph is an earlier one again. What is known stays.
pub async fn keep(tx: &Tx, photo: PhotoId, repeat: Repeat) -> Stored<()> {
    let row = Model {
        photo_id: photo.0,
        earlier_id: repeat.photo.0,
        how: word("how a photograph repeats", &repeat.how)?,
        whose: word("whose photograph is repeated", &repeat.whose)?,
    };
    let known = OnConflict::columns([Column::PhotoId, Column::EarlierId]).do_nothing().to_owned();
    Entity::insert(whole(row)).on_conflict(known).exec_without_returning(tx.conn()).await?;
    Ok(())
}

/// What some photographs repeat, by photograph.
pub async fn of(tx: &Tx, photos: &[PhotoId]) -> Stored<BTreeMap<PhotoId, Vec<Repeat>>> {
    let rows = Entity::find()
        .filter(Column::PhotoId.is_in(photos.iter().map(|p| p.0)))
        .order_by_asc(Column::EarlierId)
        .all(tx.conn())
        .await?;
    let mut repeats: BTreeMap<PhotoId, Vec<Repeat>> = BTreeMap::new();
    for row in rows {
        repeats.entry(PhotoId(row.photo_id)).or_default().push(Repeat {
            photo: PhotoId(row.earlier_id),
            whose: from_word("whose photograph is repeated", &row.whose)?,
            how: from_word("how a photograph repeats", &row.how)?,
        });
    }
    Ok(repeats)
}
