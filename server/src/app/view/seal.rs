use crate::store::record::Addendum;
use handsel_domain::ids::{AddendumId, PhotoId, StaffId};
use handsel_domain::time::Instant;
use serde::Serialize;
use utoipa::ToSchema;

/// The seal of a signed inspection.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct SealView {
    /// SHA-256 of the seal's document.
    pub sha256: String,
    /// SHA-256 of the record's canonical JSON.
    pub record_sha256: String,
    /// Ed25519, over the seal's document; in base64.
    pub signature: String,
    pub key_id: String,
    /// The seal before, of the same vehicle.
    #[schema(required = true)]
    pub previous: Option<String>,
    pub sealed_at: Instant,
}

/// Everything it takes to check a seal without this server.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct SealBundle {
    /// Canonical JSON (RFC 8785).
    pub record: String,
    /// SHA-256 of that text.
    pub record_sha256: String,
    /// Canonical JSON (RFC 8785): what is signed.
    pub document: String,
    /// SHA-256 of that text.
    pub sha256: String,
    /// Ed25519 (RFC 8032) over the document's text; in base64.
    pub signature: String,
    /// SHA-256 of the public key's DER.
    pub key_id: String,
    /// In PEM.
    pub public_key: String,
    pub addenda: Vec<AddendumView>,
}

/// Something added after the seal, sealed by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct AddendumView {
    pub id: AddendumId,
    pub words: String,
    pub photos: Vec<PhotoId>,
    /// By the device's clock.
    pub written_at: Instant,
    pub written_by: StaffId,
    pub received_at: Instant,
    /// Canonical JSON (RFC 8785): what is signed. It names the seal it adds to.
    pub document: String,
    /// SHA-256 of that text.
    pub sha256: String,
    /// Ed25519 (RFC 8032) over the document's text; in base64.
    pub signature: String,
    pub key_id: String,
    /// In PEM.
    pub public_key: String,
}

impl From<Addendum> for AddendumView {
    fn from(kept: Addendum) -> Self {
        Self {
            id: kept.id,
            words: kept.words,
            photos: kept.photos,
            written_at: kept.written_at,
            written_by: kept.written_by,
            received_at: kept.received_at,
            document: kept.document,
            sha256: kept.sha256,
            signature: kept.signature,
            key_id: kept.key_id,
            public_key: kept.public_key,
        }
    }
}
