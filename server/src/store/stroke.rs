//! The strokes of drawn signatures.

use super::Tx;
use super::convert::{from_json, from_word};
use super::entity::signature::{Column, Entity};
use super::error::Stored;
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::SignatureRole;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter};
use std::collections::BTreeMap;

/// Of each who signed: lines of points, in shares of the field.
pub async fn of(tx: &Tx, inspection: InspectionId) -> Stored<BTreeMap<SignatureRole, Vec<Vec<[f64; 2]>>>> {
    let rows = Entity::find().filter(Column::InspectionId.eq(inspection.0)).all(tx.conn()).await?;
    rows.into_iter()
        .map(|row| Ok((from_word("signature role", &row.role)?, from_json("strokes", row.strokes)?)))
        .collect()
}
