//! Seals, and records that were not what was signed.

use super::Tx;
use super::convert::{at, json, small};
use super::entity::seal::{Column, Entity, Model};
use super::entity::seal_dispute;
use super::error::{StoreError, Stored};
use super::record::{Dispute, Seal};
use super::rows::insert as insert_row;
use handsel_domain::ids::{InspectionId, VehicleId};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

impl TryFrom<Model> for Seal {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            inspection: InspectionId(row.inspection_id),
            vehicle: VehicleId(row.vehicle_id),
            number: small("a seal's number", row.number)?,
            record: row.record,
            record_sha256: row.record_sha256,
            document: row.document,
            sha256: row.sha256,
            signature: row.signature,
            key_id: row.key_id,
            public_key: row.public_key,
            previous: row.previous,
            sealed_at: at(row.sealed_at),
        })
    }
}

pub async fn of(tx: &Tx, inspection: InspectionId) -> Stored<Option<Seal>> {
    Entity::find_by_id(inspection.0).one(tx.conn()).await?.map(Seal::try_from).transpose()
}

/// Number and hash of the last seal of a vehicle.
pub async fn last_of(tx: &Tx, vehicle: VehicleId) -> Stored<Option<(u32, String)>> {
    let last = Entity::find().filter(Column::VehicleId.eq(vehicle.0)).order_by_desc(Column::Number);
    let Some(row) = last.one(tx.conn()).await? else { return Ok(None) };
    Ok(Some((small("a seal's number", row.number)?, row.sha256)))
}

pub async fn insert(tx: &Tx, seal: &Seal) -> Stored<()> {
    let row = Model {
        inspection_id: seal.inspection.0,
        vehicle_id: seal.vehicle.0,
        number: i64::from(seal.number),
        record: seal.record.clone(),
        record_sha256: seal.record_sha256.clone(),
        document: seal.document.clone(),
        sha256: seal.sha256.clone(),
        signature: seal.signature.clone(),
        key_id: seal.key_id.clone(),
        public_key: seal.public_key.clone(),
        previous: seal.previous.clone(),
        sealed_at: seal.sealed_at.utc(),
    };
    insert_row(tx, row).await
}

pub async fn keep_dispute(tx: &Tx, dispute: &Dispute) -> Stored<()> {
    let row = seal_dispute::Model {
        id: dispute.id,
        inspection_id: dispute.inspection.0,
        staff_id: dispute.staff.0,
        at: dispute.at.utc(),
        device_record: dispute.device_record.clone(),
        device_hashes: json("a device's hashes", &dispute.device_hashes)?,
        server_record: dispute.server_record.clone(),
        server_sha256: dispute.server_sha256.clone(),
    };
    insert_row(tx, row).await
}
