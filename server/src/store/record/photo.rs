use handsel_domain::ids::{HireId, InspectionId, MarkId, PhotoId, StaffId, VehicleId};
use handsel_domain::inspection::{Leg, Photo, PhotoSubject, Repeat};
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A stored photograph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photograph {
    pub id: PhotoId,
    /// SHA-256 of the bytes as they came, in lower-case hexadecimal.
    pub sha256: String,
    pub subject: PhotoSubject,
    /// By the device's clock.
    pub taken_at: Instant,
    /// When the server first heard of it.
    pub received_at: Instant,
    /// When its bytes came; none while it is only announced.
    pub arrived_at: Option<Instant>,
    /// Upright, in pixels.
    pub width: u32,
    pub height: u32,
    /// Size of the original.
    pub bytes: u64,
}

impl Photograph {
    /// As a case carries it.
    #[must_use]
    pub fn evidence(&self, repeats: Vec<Repeat>) -> Photo {
        Photo {
            id: self.id,
            sha256: self.sha256.clone(),
            subject: self.subject.clone(),
            taken_at: self.taken_at,
            received_at: Some(self.received_at),
            repeats,
            awaited: self.arrived_at.is_none(),
        }
    }
}

/// A photograph with what is needed to serve it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFile {
    pub photo: Photograph,
    pub inspection: InspectionId,
    pub media_type: String,
}

/// What was found out about the content of a photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    pub sha256: String,
    pub sharpness: f64,
    pub sharpest: f64,
    pub mean: f64,
    pub dark_share: f64,
    pub bright_share: f64,
    /// Of 32 hexadecimal digits.
    pub fingerprint: String,
    pub made_at: Instant,
}

/// A photograph and where it was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sighted {
    pub id: PhotoId,
    pub sha256: String,
    pub received_at: Instant,
    pub leg: Leg,
    pub hire: HireId,
    pub vehicle: VehicleId,
}

/// Whether two photographs of a viewpoint could be laid over each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PointedState {
    Aligned,
    NotAligned,
}

/// A place on a return's photograph that is worth a look.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pointer {
    pub id: Uuid,
    /// From the photograph's top left corner, 0 to 1.
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
    pub score: f64,
}

/// What comparing a return's photograph with its departure's came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Pointing {
    pub before: PhotoId,
    pub state: PointedState,
    pub pointers: Vec<Pointer>,
}

/// What a person made of a pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Disposition {
    /// Nobody looked at it yet.
    Open,
    /// Nothing new is there.
    Dismissed,
    /// It was recorded as a mark, or as a look at one.
    Accepted,
}

/// A pointer that somebody looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Disposed {
    pub pointer: Uuid,
    pub disposition: Disposition,
    pub mark: Option<MarkId>,
    pub by: StaffId,
    pub at: Instant,
}
