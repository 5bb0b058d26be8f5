use crate::store::record::Disposition;
use handsel_domain::exact::Exact;
use handsel_domain::ids::{InspectionId, MarkId, PhotoId};
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
}

/// Why the hirer could not sign the return.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AbsenceNote {
    pub reason: String,
}

/// Closes an inspection.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// The device's clock as it sends this.
    #[serde(default)]
    pub device_time: Option<Instant>,
}
