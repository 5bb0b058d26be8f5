//! What a proposed line rests on (rule 6).

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One thing a line rests on, and whether it is there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Evidence {
    pub kind: EvidenceKind,
    pub present: bool,
    /// What it is, or what is missing, in words.
    pub words: String,
    /// Ids of the entries, photographs or topics it points to.
    pub refs: Vec<String>,
}

/// The kinds of evidence, in the order shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum EvidenceKind {
    DepartureRecord,
    /// Of the same viewpoint, taken before the signature.
    DeparturePhoto,
    HirerSignedDeparture,
    ReturnRecord,
    ReturnPhoto,
    /// Not an earlier photograph again; listed only where one is.
    ReturnPhotoOwn,
    /// Signed by the hirer, or their absence noted.
    ReturnSigned,
    /// The reading's own photograph.
    ReadingPhoto,
    /// The briefings this line depends on.
    Briefing,
}
