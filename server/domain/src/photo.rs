//! What is said about photographs: advice to whoever can still take one again, and pointers to what is worth a look.
//! Neither blocks anything, and neither charges anybody.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a person may want to put right about a photograph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PhotoAdvice {
    Blurred,
    TooDark,
    TooBright,
    /// It could not be laid over the departure's photograph of the same viewpoint.
    NotTheViewpoint,
}

/// How far the comparison of a return's photograph with its departure's has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PointersState {
    Waiting,
    /// Not a return's photograph of a viewpoint, or the departure has none of it.
    NothingToCompare,
    Aligned,
    NotAligned,
    /// It was tried and given up.
    Failed,
}
