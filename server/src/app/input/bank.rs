use handsel_domain::deposit::MovementKind;
use handsel_domain::ids::{HireId, MovementId};
use serde::Deserialize;
use utoipa::ToSchema;

/// What an entry of the bank's is.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
pub enum EntryMatch {
    /// A movement that is recorded already.
    Movement { movement: MovementId },
    /// One that is not recorded yet: it is, with the entry's amount, by transfer.
    NewMovement { hire: HireId, movement: MovementId, kind: MovementKind },
}

/// Why an entry is none of a deposit.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PutAside {
    /// Left out: the entry is open again.
    #[serde(default)]
    pub reason: Option<String>,
}
