use crate::store::record::Disposition;
use handsel_domain::ids::{HireId, MarkId, PhotoId, StaffId, VehicleId};
use handsel_domain::inspection::{PhotoSubject, RepeatHow, RepeatOf};
use handsel_domain::photo::{PhotoAdvice, PointersState};
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A stored photograph.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PhotoView {
    pub id: PhotoId,
    /// SHA-256 of the bytes as they came, in lower-case hexadecimal.
    pub sha256: String,
    pub subject: PhotoSubject,
    /// By the device's clock.
    pub taken_at: Instant,
    /// When the server first heard of it.
    pub received_at: Instant,
    /// False while it is only announced: its bytes have not come yet.
    pub arrived: bool,
    /// Upright, in pixels.
    pub width: u32,
    pub height: u32,
    /// Size of the original.
    pub bytes: u64,
    pub processing: Processing,
    /// Null until they are measured.
    #[schema(required = true)]
    pub facts: Option<PhotoFacts>,
    /// Earlier photographs that this one is again.
    pub repeats: Vec<RepeatView>,
}

/// How far the work on a photograph has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Processing {
    Waiting,
    Done,
    /// Given up after several attempts. The photograph is kept all the same.
    Failed,
}

/// What was measured of a photograph, on a copy no longer than 1024 pixels.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PhotoFacts {
    /// Variance of the Laplacian, in squared grey levels.
    pub sharpness: f64,
    /// The same, where the picture is sharpest.
    pub sharpest: f64,
    /// Mean grey level, 0 to 255.
    pub mean: f64,
    /// Share of pixels that are nearly black, 0 to 1.
    pub dark_share: f64,
    /// Share of pixels that are burnt out, 0 to 1.
    pub bright_share: f64,
    /// What to tell the person who took it. Never a reason to refuse it.
    pub advice: Vec<AdviceView>,
}

/// Something a person may want to put right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct AdviceView {
    pub code: PhotoAdvice,
    pub words: String,
}

/// An earlier photograph that one is again. Where it was taken is told to those who reach it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct RepeatView {
    pub whose: RepeatOf,
    pub how: RepeatHow,
    pub words: String,
    #[schema(required = true)]
    pub photo: Option<PhotoId>,
    #[schema(required = true)]
    pub vehicle: Option<VehicleId>,
    #[schema(required = true)]
    pub vehicle_name: Option<String>,
    #[schema(required = true)]
    pub hire: Option<HireId>,
}

/// Places on a return's photograph that are worth a look: a help for a person, never a charge.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PointersView {
    pub state: PointersState,
    /// The departure's photograph it was compared with.
    #[schema(required = true)]
    pub before: Option<PhotoId>,
    /// What this means, to show with the pointers.
    pub words: String,
    pub pointers: Vec<PointerView>,
}

/// One place, and what was made of it.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct PointerView {
    pub id: Uuid,
    /// From the photograph's top left corner, 0 to 1.
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
    /// How much stands out; only for ordering.
    pub score: f64,
    pub disposition: Disposition,
    /// The mark it was accepted as.
    #[schema(required = true)]
    pub mark: Option<MarkId>,
    #[schema(required = true)]
    pub by: Option<StaffId>,
    #[schema(required = true)]
    pub at: Option<Instant>,
}
