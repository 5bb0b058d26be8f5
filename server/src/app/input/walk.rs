use crate::store::record::Disposition;
use handsel_domain::exact::Exact;
use handsel_domain::ids::{EntryId, InspectionId, MarkId, PhotoId};
use handsel_domain::inspection::{Answer, Depth, Leg};
use handsel_domain::template::Key;
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The walk-rounds a hire has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum StartLeg {
    Departure,
    Return,
}

impl From<StartLeg> for Leg {
    fn from(leg: StartLeg) -> Self {
        match leg {
            StartLeg::Departure => Self::Departure,
            StartLeg::Return => Self::Return,
        }
    }
}

/// Starts a walk-round.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewInspection {
    pub id: InspectionId,
    pub leg: StartLeg,
    /// The device's clock as it sends this, kept beside the server's.
    #[serde(default)]
    pub device_time: Option<Instant>,
}

/// One answer.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryInput {
    /// A checkpoint or an inventory item of the template.
    pub checkpoint: Key,
    pub answer: Answer,
    /// Photographs of this inspection, already uploaded.
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    #[serde(default)]
    pub note: Option<String>,
    /// By the device's clock; left out: now.
    #[serde(default)]
    pub recorded_at: Option<Instant>,
    /// The answers to the same question that its author saw. Those it does not name stand beside it, for a person to
    /// choose. Left out: all there are; in an operation: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<Vec<EntryId>>,
}

/// Damage seen for the first time.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkInput {
    pub panel: Key,
    /// Such as `scratch`, `dent`, `crack`.
    pub kind: Key,
    /// Longest extent.
    pub size_mm: u32,
    pub depth: Depth,
    pub viewpoint: Key,
    /// Place on the viewpoint's photograph, from its top left corner, 0 to 1.
    pub x: Exact,
    pub y: Exact,
    /// Photographs of this inspection, already uploaded.
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    #[serde(default)]
    pub note: Option<String>,
}

/// Registered damage looked at again.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SightingInput {
    pub size_mm: u32,
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    #[serde(default)]
    pub note: Option<String>,
}

/// What a person made of a pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PointerInput {
    pub disposition: Disposition,
    /// With `accepted`: the mark of this inspection, or the one that was looked at again.
    #[serde(default)]
    pub mark: Option<MarkId>,
}

/// What became of one topic.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BriefingInput {
    /// When it was on the screen before the hirer.
    #[serde(default)]
    pub shown_at: Option<Instant>,
    /// When the hirer acknowledged it.
    #[serde(default)]
    pub acknowledged_at: Option<Instant>,
    /// Go on without it; counts as missed.
    #[serde(default, rename = "override")]
    pub overridden: Option<BriefingOverride>,
}

/// Staff go on without a topic.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BriefingOverride {
    pub reason: String,
}

/// When the vehicle changed hands.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Handover {
    pub handed_over_at: Instant,
}

/// A drawn signature.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignatureInput {
    /// As the signer wrote it.
    pub name: String,
    /// Strokes of points `[x, y]`, each from 0 to 1 of the field signed in.
    pub strokes: Vec<Vec<[f64; 2]>>,
    /// By the device's clock.
    pub signed_at: Instant,
    /// SHA-256 of the record's canonical JSON, as the device showed it to the signer (rule 9).
    #[serde(default)]
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub record_sha256: Option<String>,
}

/// What is added to a sealed inspection.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AddendumInput {
    pub words: String,
    /// Photographs of this inspection that it speaks of.
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    /// By the device's clock; left out: now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub written_at: Option<Instant>,
}

/// Why the hirer could not sign the return.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AbsenceNote {
    pub reason: String,
}

/// Closes an inspection.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// The device's clock as it sends this.
    #[serde(default)]
    pub device_time: Option<Instant>,
    /// SHA-256 of the record's canonical JSON, as the device has it (rule 9). When the server's differs, nothing is
    /// closed.
    #[serde(default)]
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub record_sha256: Option<String>,
    /// The record itself, as the device has it: kept beside the server's when they differ.
    #[serde(default)]
    #[schema(value_type = Option<Object>)]
    pub record: Option<serde_json::Value>,
}
