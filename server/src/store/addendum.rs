//! What was added to inspections after their seal.

use super::Tx;
use super::convert::{at, from_json, json};
use super::entity::addendum::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::record::Addendum;
use super::rows::insert as insert_row;
use handsel_domain::ids::{AddendumId, InspectionId, StaffId};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

impl TryFrom<Model> for Addendum {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: AddendumId(row.id),
            inspection: InspectionId(row.inspection_id),
            words: row.words,
            photos: from_json("an addendum's photographs", row.photos)?,
            written_at: at(row.written_at),
            written_by: StaffId(row.written_by),
            document: row.document,
            sha256: row.sha256,
            signature: row.signature,
            key_id: row.key_id,
            public_key: row.public_key,
            received_at: at(row.received_at),
            digest: row.digest,
        })
    }
}

/// What was added to an inspection, in the order it came.
pub async fn of(tx: &Tx, inspection: InspectionId) -> Stored<Vec<Addendum>> {
    let rows = Entity::find()
        .filter(Column::InspectionId.eq(inspection.0))
        .order_by_asc(Column::ReceivedAt)
        .order_by_asc(Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(Addendum::try_from).collect()
}

/// The addendum of an id, whoever's it is.
pub async fn known(tx: &Tx, id: AddendumId) -> Stored<Option<Addendum>> {
    Entity::find_by_id(id.0).one(tx.conn()).await?.map(Addendum::try_from).transpose()
}

pub async fn insert(tx: &Tx, made: &Addendum) -> Stored<()> {
    let row = Model {
        id: made.id.0,
        inspection_id: made.inspection.0,
        words: made.words.clone(),
        photos: json("an addendum's photographs", &made.photos)?,
        written_at: made.written_at.utc(),
        written_by: made.written_by.0,
        document: made.document.clone(),
        sha256: made.sha256.clone(),
        signature: made.signature.clone(),
        key_id: made.key_id.clone(),
        public_key: made.public_key.clone(),
        received_at: made.received_at.utc(),
        digest: made.digest.clone(),
    };
    insert_row(tx, row).await
}
