//! Damage: recorded on an inspection, in the vehicle's register once that is signed.

use super::Tx;
use super::convert::{at, from_json, from_word, json, small, word};
use super::entity::mark::{Column, Entity, Model};
use super::entity::{inspection, sighting};
use super::error::{StoreError, Stored};
use super::record::{RegisterMark, RegisterState, Seen};
use super::rows::insert as insert_row;
use handsel_domain::exact::Exact;
use handsel_domain::ids::{InspectionId, MarkId, StaffId, VehicleId};
use handsel_domain::inspection::Mark;
use handsel_domain::time::Instant;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect};
use uuid::Uuid;

fn exact(text: &str) -> Stored<Exact> {
    text.parse().map_err(|e| StoreError::Damaged(format!("place of a mark: {e}")))
}

impl TryFrom<Model> for Mark {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: MarkId(row.id),
            size_mm: small("mark size", row.size_mm)?,
            depth: from_word("mark depth", &row.depth)?,
            x: exact(&row.x)?,
            y: exact(&row.y)?,
            photos: from_json("mark photos", row.photos)?,
            first_seen: InspectionId(row.inspection_id),
            panel: row.panel,
            kind: row.kind,
            viewpoint: row.viewpoint,
            note: row.note,
        })
    }
}

/// Damage first seen on an inspection.
pub async fn of_inspection(tx: &Tx, id: InspectionId) -> Stored<Vec<Mark>> {
    let rows = Entity::find()
        .filter(Column::InspectionId.eq(id.0))
        .order_by_asc(Column::RecordedAt)
        .order_by_asc(Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(Mark::try_from).collect()
}

/// The mark of an id and the digest of what made it, whoever's it is.
pub async fn known(tx: &Tx, id: MarkId) -> Stored<Option<(Mark, String)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let digest = row.digest.clone();
    Ok(Some((row.try_into()?, digest)))
}

pub async fn add(tx: &Tx, vehicle: VehicleId, mark: &Mark, now: Instant, digest: String) -> Stored<()> {
    let row = Model {
        id: mark.id.0,
        vehicle_id: vehicle.0,
        inspection_id: mark.first_seen.0,
        panel: mark.panel.clone(),
        kind: mark.kind.clone(),
        size_mm: i64::from(mark.size_mm),
        depth: word("mark depth", &mark.depth)?,
        viewpoint: mark.viewpoint.clone(),
        x: mark.x.show(6),
        y: mark.y.show(6),
        photos: json("mark photos", &mark.photos)?,
        note: mark.note.clone(),
        recorded_at: now.utc(),
        joined_at: None,
        repaired_at: None,
        repair_note: None,
        repaired_by: None,
        digest,
    };
    insert_row(tx, row).await
}

/// Takes back a mark of an inspection that is not in the register yet.
pub async fn remove(tx: &Tx, of: InspectionId, id: MarkId) -> Stored<bool> {
    let done = Entity::delete_many()
        .filter(Column::Id.eq(id.0))
        .filter(Column::InspectionId.eq(of.0))
        .filter(Column::JoinedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected > 0)
}

/// Damage first seen on an inspection joins the register as that is signed.
pub async fn join(tx: &Tx, of: InspectionId, now: Instant) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::JoinedAt, Expr::value(now.utc()))
        .filter(Column::InspectionId.eq(of.0))
        .filter(Column::JoinedAt.is_null())
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// A vehicle's register, oldest first. Looks count once their inspection is signed.
pub async fn register(tx: &Tx, vehicle: VehicleId) -> Stored<Vec<RegisterMark>> {
    let rows = Entity::find()
        .filter(Column::VehicleId.eq(vehicle.0))
        .filter(Column::JoinedAt.is_not_null())
        .order_by_asc(Column::RecordedAt)
        .order_by_asc(Column::Id)
        .all(tx.conn())
        .await?;
    let signed: Vec<Uuid> = inspection::Entity::find()
        .select_only()
        .column(inspection::Column::Id)
        .filter(inspection::Column::VehicleId.eq(vehicle.0))
        .filter(inspection::Column::SignedAt.is_not_null())
        .into_tuple()
        .all(tx.conn())
        .await?;
    let looks = sighting::Entity::find()
        .filter(sighting::Column::MarkId.is_in(rows.iter().map(|r| r.id)))
        .filter(sighting::Column::InspectionId.is_in(signed))
        .order_by_asc(sighting::Column::SeenAt)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(|row| registered(row, &looks)).collect()
}

fn registered(row: Model, looks: &[sighting::Model]) -> Stored<RegisterMark> {
    let (id, recorded_at) = (row.id, at(row.recorded_at));
    let (repaired_at, repair_note) = (row.repaired_at.map(at), row.repair_note.clone());
    let mut mark = Mark::try_from(row)?;
    let mut history = vec![Seen {
        inspection: mark.first_seen,
        size_mm: mark.size_mm,
        photos: mark.photos.clone(),
        seen_at: recorded_at,
    }];
    for look in looks.iter().filter(|look| look.mark_id == id) {
        history.push(Seen {
            inspection: InspectionId(look.inspection_id),
            size_mm: small("sighting size", look.size_mm)?,
            photos: from_json("sighting photos", look.photos.clone())?,
            seen_at: at(look.seen_at),
        });
    }
    if let Some(last) = history.last() {
        mark.size_mm = last.size_mm;
    }
    let state = if repaired_at.is_some() { RegisterState::Repaired } else { RegisterState::Open };
    Ok(RegisterMark { mark, state, history, repaired_at, repair_note })
}

/// Notes that a registered mark was put right.
pub async fn repair(tx: &Tx, id: MarkId, note: &str, by: StaffId, now: Instant) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::RepairedAt, Expr::value(now.utc()))
        .col_expr(Column::RepairNote, Expr::value(note))
        .col_expr(Column::RepairedBy, Expr::value(by.0))
        .filter(Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}
