//! Uploads. How much has come is the length of what is kept of each, not written here.

use super::Tx;
use super::convert::at;
use super::entity::upload::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::record::Upload;
use super::rows::insert as insert_row;
use handsel_domain::ids::{PhotoId, UploadId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter};

impl TryFrom<Model> for Upload {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        let length = u64::try_from(row.length);
        Ok(Self {
            id: UploadId(row.id),
            photo: PhotoId(row.photo_id),
            length: length.map_err(|e| StoreError::Damaged(format!("upload {} length: {e}", row.id)))?,
            finished: row.finished,
            created_at: at(row.created_at),
            expires_at: at(row.expires_at),
        })
    }
}

pub async fn find(tx: &Tx, id: UploadId) -> Stored<Option<Upload>> {
    Entity::find_by_id(id.0).one(tx.conn()).await?.map(Upload::try_from).transpose()
}

pub async fn insert(tx: &Tx, upload: &Upload) -> Stored<()> {
    let row = Model {
        id: upload.id.0,
        photo_id: upload.photo.0,
        length: i64::try_from(upload.length).map_err(|e| StoreError::Damaged(format!("upload length: {e}")))?,
        finished: upload.finished,
        created_at: upload.created_at.utc(),
        expires_at: upload.expires_at.utc(),
    };
    insert_row(tx, row).await
}

pub async fn finish(tx: &Tx, id: UploadId) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::Finished, Expr::value(true))
        .filter(Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

pub async fn remove(tx: &Tx, id: UploadId) -> Stored<()> {
    Entity::delete_by_id(id.0).exec(tx.conn()).await?;
    Ok(())
}

/// Takes away every upload of a photograph; gives those that were on their way.
pub async fn remove_of(tx: &Tx, photo: PhotoId) -> Stored<Vec<UploadId>> {
    let there = Entity::find().filter(Column::PhotoId.eq(photo.0)).all(tx.conn()).await?;
    Entity::delete_many().filter(Column::PhotoId.eq(photo.0)).exec(tx.conn()).await?;
    Ok(there.into_iter().map(|row| UploadId(row.id)).collect())
}

/// Takes away every upload that ran out; gives them.
pub async fn remove_expired(tx: &Tx, now: Instant) -> Stored<Vec<UploadId>> {
    let over = Entity::find().filter(Column::ExpiresAt.lte(now.utc())).all(tx.conn()).await?;
    Entity::delete_many().filter(Column::Id.is_in(over.iter().map(|row| row.id))).exec(tx.conn()).await?;
    Ok(over.into_iter().map(|row| UploadId(row.id)).collect())
}
