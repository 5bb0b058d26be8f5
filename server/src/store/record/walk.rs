use super::Fitted;
use handsel_domain::ids::{HireId, InspectionId, StaffId, TemplateId, VehicleId};
use handsel_domain::inspection::{Absence, Clocks, Leg, Mark, Signature};
use handsel_domain::time::Instant;

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

/// A signature with its strokes.
#[derive(Clone, Debug, PartialEq)]
pub struct StrokedSignature {
    pub signature: Signature,
    pub strokes: serde_json::Value,
    pub received_at: Instant,
}
