use handsel_domain::ids::{AddendumId, InspectionId, PhotoId, StaffId, VehicleId};
use handsel_domain::time::Instant;
use serde_json::Value;
use uuid::Uuid;

/// A seal with what it seals. Texts are kept as they were hashed and signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seal {
    pub inspection: InspectionId,
    pub vehicle: VehicleId,
    /// Seals of one vehicle count up from 1.
    pub number: u32,
    pub record: String,
    pub record_sha256: String,
    pub document: String,
    pub sha256: String,
    pub signature: String,
    pub key_id: String,
    pub public_key: String,
    pub previous: Option<String>,
    pub sealed_at: Instant,
}

/// A device's record that was not the server's.
#[derive(Clone, Debug, PartialEq)]
pub struct Dispute {
    pub id: Uuid,
    pub inspection: InspectionId,
    pub staff: StaffId,
    pub at: Instant,
    pub device_record: Option<Value>,
    pub device_hashes: Vec<String>,
    pub server_record: String,
    pub server_sha256: String,
}

/// What was added after a seal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Addendum {
    pub id: AddendumId,
    pub inspection: InspectionId,
    pub words: String,
    pub photos: Vec<PhotoId>,
    pub written_at: Instant,
    pub written_by: StaffId,
    pub document: String,
    pub sha256: String,
    pub signature: String,
    pub key_id: String,
    pub public_key: String,
    pub received_at: Instant,
    /// Digest of the request that made it, to tell a repeated one from a different one.
    pub digest: String,
}
