use handsel_domain::case::Verdict;
use handsel_domain::deposit::{Means, MovementKind};
use handsel_domain::ids::{DecisionId, MovementId};
use handsel_domain::money::Money;
use handsel_domain::time::Instant;
use serde::Deserialize;
use utoipa::ToSchema;

/// A decision on one proposed line.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDecision {
    pub id: DecisionId,
    /// Key of the line, such as `fuel`.
    pub line: String,
    pub verdict: Verdict,
    /// With `adjust`: what is charged instead.
    #[serde(default)]
    pub amount: Option<Money>,
    #[serde(default)]
    pub reason: Option<String>,
}

/// Lines to accept at once.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Acceptances {
    pub lines: Vec<Acceptance>,
}

/// One of them.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Id of the decision.
    pub id: DecisionId,
    /// Key of the line.
    pub line: String,
}

/// A movement to record.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewMovement {
    pub id: MovementId,
    pub kind: MovementKind,
    pub means: Means,
    pub amount: Money,
    /// The payment provider's or the bank's reference; never card data.
    #[serde(default)]
    pub reference: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
    /// Who pays or is paid, where that is not the lead driver.
    #[serde(default)]
    pub payer: Option<String>,
    /// When a card hold lapses by itself.
    #[serde(default)]
    pub hold_ends_at: Option<Instant>,
}

/// Closes the settlement; takes nothing.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Settle {}
