use handsel_domain::case::Decision;
use handsel_domain::deposit::Movement;
use handsel_domain::ids::StaffId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A decision with the name of who made it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DecisionView {
    #[serde(flatten)]
    pub decision: Decision,
    pub by_name: String,
}

/// A movement of the ledger with the name of who recorded it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LedgerMovement {
    #[serde(flatten)]
    pub movement: Movement,
    pub by_name: String,
}

/// A movement and who recorded it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredMovement {
    pub movement: Movement,
    pub by: StaffId,
}
