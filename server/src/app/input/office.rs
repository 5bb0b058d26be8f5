use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::ids::{DisputeId, LinkId, PhotoId};
use handsel_domain::text::Lang;
use serde::Deserialize;
use utoipa::ToSchema;

/// A link for the lead driver of a hire.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewLink {
    pub id: LinkId,
    /// The language the hirer reads.
    pub lang: Lang,
    /// Also send it to the lead driver's address.
    #[serde(default)]
    pub mail: bool,
}

/// A charge that the hirer disputes.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDispute {
    pub id: DisputeId,
    /// Key of the statement's line.
    pub line: String,
    pub words: String,
    /// Sent before, by this very link.
    #[serde(default)]
    pub photos: Vec<PhotoId>,
}

/// What became of a dispute.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DisputeAnswer {
    pub outcome: DisputeOutcome,
    /// Told to the hirer.
    pub words: String,
}
