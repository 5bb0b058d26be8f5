use handsel_domain::ids::OperationId;
use handsel_domain::time::Instant;
use serde::Serialize;
use utoipa::ToSchema;

/// What became of an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    Applied,
    /// It was applied when it was sent before.
    AlreadyApplied,
    /// It is handled and changes nothing; the problem says why. To be done after all, it is sent as a new operation.
    Refused,
    /// Nothing is done yet: send it again, from the expected number on.
    HeldBack,
}

/// What a device keeps to show that an operation was handled.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Receipt {
    pub operation: OperationId,
    pub sequence: u32,
    pub received_at: Instant,
    /// SHA-256 of the operation's canonical JSON (RFC 8785), as it was sent.
    pub content_sha256: String,
}
