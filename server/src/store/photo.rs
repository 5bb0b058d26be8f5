use super::convert::{at, from_json, json, small};
use super::entity::photo::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::inspection;
use super::record::{PhotoFile, Photograph};
use super::rows::insert as insert_row;
use super::{Scope, Tx};
use handsel_domain::ids::{InspectionId, PhotoId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

impl TryFrom<Model> for PhotoFile {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            photo: Photograph {
                id: PhotoId(row.id),
                sha256: row.sha256,
                subject: from_json("photo subject", row.subject)?,
                taken_at: at(row.taken_at),
                received_at: at(row.received_at),
                arrived_at: row.arrived_at.map(at),
                width: small("photo width", row.width)?,
                height: small("photo height", row.height)?,
                bytes: u64::try_from(row.bytes)
                    .map_err(|e| StoreError::Damaged(format!("photo {} size: {e}", row.id)))?,
            },
            inspection: InspectionId(row.inspection_id),
            media_type: row.media_type,
        })
    }
}

/// Photographs of an inspection, in the order they came.
pub async fn of_inspection(tx: &Tx, id: InspectionId) -> Stored<Vec<Photograph>> {
    let rows = Entity::find()
        .filter(Column::InspectionId.eq(id.0))
        .order_by_asc(Column::ReceivedAt)
        .order_by_asc(Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(|row| PhotoFile::try_from(row).map(|file| file.photo)).collect()
}

/// A photograph of an inspection whose hire the caller reaches.
pub async fn find(tx: &Tx, scope: Scope, id: PhotoId) -> Stored<Option<PhotoFile>> {
    let Some(file) = known(tx, id).await? else { return Ok(None) };
    let reached = inspection::find(tx, scope, file.inspection).await?.is_some();
    Ok(reached.then_some(file))
}

/// The photograph of an id, whoever's it is.
pub async fn known(tx: &Tx, id: PhotoId) -> Stored<Option<PhotoFile>> {
    Entity::find_by_id(id.0).one(tx.conn()).await?.map(PhotoFile::try_from).transpose()
}

pub async fn insert(tx: &Tx, file: &PhotoFile) -> Stored<()> {
    let photo = &file.photo;
    let row = Model {
        id: photo.id.0,
        inspection_id: file.inspection.0,
        sha256: photo.sha256.clone(),
        media_type: file.media_type.clone(),
        subject: json("photo subject", &photo.subject)?,
        taken_at: photo.taken_at.utc(),
        received_at: photo.received_at.utc(),
        width: i64::from(photo.width),
        height: i64::from(photo.height),
        bytes: i64::try_from(photo.bytes).map_err(|e| StoreError::Damaged(format!("photo size: {e}")))?,
        arrived_at: photo.arrived_at.map(Instant::utc),
    };
    insert_row(tx, row).await
}

/// Notes that the bytes of an announced photograph came, and what they turned out to be.
pub async fn arrive(tx: &Tx, file: &PhotoFile) -> Stored<()> {
    let photo = &file.photo;
    Entity::update_many()
        .col_expr(Column::ArrivedAt, Expr::value(photo.arrived_at.map(Instant::utc)))
        .col_expr(Column::MediaType, Expr::value(file.media_type.as_str()))
        .col_expr(Column::Width, Expr::value(i64::from(photo.width)))
        .col_expr(Column::Height, Expr::value(i64::from(photo.height)))
        .filter(Column::Id.eq(photo.id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

pub async fn remove(tx: &Tx, of: InspectionId, id: PhotoId) -> Stored<bool> {
    let done =
        Entity::delete_many().filter(Column::Id.eq(id.0)).filter(Column::InspectionId.eq(of.0)).exec(tx.conn()).await?;
    Ok(done.rows_affected > 0)
}
