use super::Fitted;
use handsel_domain::ids::{HireId, InspectionId, PhotoId, StaffId, TemplateId, VehicleId};
use handsel_domain::inspection::{Absence, Clocks, Leg, Mark, Photo, PhotoSubject, Signature};
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// An inspection without what was recorded on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InspectionHead {
    pub id: InspectionId,
    pub hire: HireId,
    pub vehicle: VehicleId,
    pub leg: Leg,
    pub template: TemplateId,
    pub started_at: Instant,
    pub started_by: StaffId,
    pub clocks: Option<Clocks>,
    pub handed_over_at: Option<Instant>,
    pub absence: Option<Absence>,
    pub signed_at: Option<Instant>,
    pub signed_by: Option<StaffId>,
    /// The vehicle as it was when the departure was started; a return has its departure's.
    pub fitted: Fitted,
    /// The register as it was when the departure was signed.
    pub register: Option<Vec<Mark>>,
    /// Digest of the request that started it, to tell a repeated one from a different one.
    pub digest: String,
    pub version: u32,
}

/// A stored photograph.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PhotoView {
    pub id: PhotoId,
    /// SHA-256 of the bytes as they came, in lower-case hexadecimal.
    pub sha256: String,
    pub subject: PhotoSubject,
    /// By the device's clock.
    pub taken_at: Instant,
    pub received_at: Instant,
    /// Upright, in pixels.
    pub width: u32,
    pub height: u32,
    /// Size of the original.
    pub bytes: u64,
}

impl PhotoView {
    /// As a case carries it.
    #[must_use]
    pub fn evidence(&self) -> Photo {
        Photo {
            id: self.id,
            sha256: self.sha256.clone(),
            subject: self.subject.clone(),
            taken_at: self.taken_at,
            received_at: Some(self.received_at),
        }
    }
}

/// A photograph with what is needed to serve it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFile {
    pub view: PhotoView,
    pub inspection: InspectionId,
    pub media_type: String,
}

/// A signature with its strokes.
#[derive(Clone, Debug, PartialEq)]
pub struct StrokedSignature {
    pub signature: Signature,
    pub strokes: serde_json::Value,
    pub received_at: Instant,
}
