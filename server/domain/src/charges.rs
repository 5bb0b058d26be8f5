//! What a comparison says: findings, and proposed lines with the reasons and the evidence for each.

use crate::case::Decision;
use crate::evidence::Evidence;
use crate::exact::Exact;
use crate::ids::HireId;
use crate::money::Money;
use crate::tariff::{RuleKind, Tax};
use crate::template::Key;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Everything that came of comparing a departure with a return.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Comparison {
    pub hire: HireId,
    pub hire_days: u32,
    /// Real minutes past the agreed return; negative when early.
    pub minutes_late: i64,
    /// Things to know before reading on, such as clocks that disagree.
    pub notices: Vec<String>,
    /// Briefing topics that were due and missed.
    pub missed_topics: Vec<MissedTopic>,
    /// One row for each thing compared, whether or not anything is owed.
    pub findings: Vec<Finding>,
    /// What is proposed, in the order of the rules.
    pub lines: Vec<Line>,
    pub totals: Totals,
    /// The tax inside what is charged, one row for each treatment.
    pub tax: Vec<TaxGroup>,
}

/// A topic that was due and missed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MissedTopic {
    pub topic: Key,
    pub title: String,
    pub why: Missed,
    /// The reason given, where staff went on without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Keys of the lines it weakens.
    pub weakens: Vec<String>,
}

/// How a topic was missed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Missed {
    NotAcknowledged,
    Overridden,
    AcknowledgedUnshown,
}

/// One thing compared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Finding {
    /// Such as `fuel`, `inventory.hose`, `mark.<id>`; the key of its line where it has one.
    pub key: String,
    pub title: String,
    pub outcome: Outcome,
    /// What departure recorded, in words; empty where nothing was.
    pub before: String,
    /// What return recorded, in words; empty where nothing was.
    pub after: String,
    pub words: Vec<String>,
    /// There is a proposed line with this key.
    pub has_line: bool,
}

/// What comparing one thing came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    Unchanged,
    /// Worse than departure, beyond what the instruments leave open.
    Worse,
    /// Different, but within what the instruments can tell.
    WithinInstruments,
    /// More or better than at departure: shown, not credited.
    Better,
    /// Damage small enough to count as wear.
    FairWear,
    /// Damage the register already had.
    AlreadyRegistered,
    /// Departure has no record of it.
    NoBaseline,
    /// Return has no record of it.
    NotRecorded,
    /// Battery not at rest, or voltage cannot tell.
    NoConclusion,
    /// Needs somebody's attention; charges nobody by itself.
    Attention,
    /// Beyond the allowance or the agreed time.
    Exceeded,
}

/// One proposed charge.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Line {
    pub key: String,
    pub rule: RuleKind,
    pub title: String,
    pub state: LineState,
    /// What the rules come to before the panel cap and the excess; none while an estimate is open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// What is charged as things stand: zero until a person has accepted or adjusted it.
    pub amount: Money,
    /// What it would come to if a person accepted it now, after the panel cap and the excess.
    pub if_charged: Money,
    /// Each multiplication, summing to `price`; then each cap, summing to `if_charged`.
    pub parts: Vec<Part>,
    pub tax: Tax,
    /// The tariff leaves its price to an estimate.
    pub estimated: bool,
    /// Damage that the agreed excess does not cap.
    pub outside_excess: bool,
    /// The formula with its numbers, in words.
    pub because: Vec<String>,
    pub evidence: Vec<Evidence>,
    /// Evidence that is missing and topics that were missed, in words; empty when the line is strong.
    pub weak_points: Vec<String>,
    /// Keys of missed topics that bear on this line's cause.
    pub weakened_by: Vec<Key>,
    /// The decision that holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decision: Option<Decision>,
}

/// Where a line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LineState {
    /// Waits for a decision.
    Proposed,
    /// At zero: departure has no record to compare with.
    NoBaseline,
    /// A topic it depends on was missed: a person must decide, with a reason.
    HeldForReview,
    /// Open until somebody has estimated it.
    EstimateOpen,
    Accepted,
    Adjusted,
    Waived,
    /// Put aside by a person.
    Held,
}

impl LineState {
    /// Whether a person still has to decide before the deposit can be settled.
    #[must_use]
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Proposed | Self::HeldForReview | Self::EstimateOpen | Self::Held)
    }

    /// Whether its amount is charged.
    #[must_use]
    pub const fn is_charged(self) -> bool {
        matches!(self, Self::Accepted | Self::Adjusted)
    }
}

/// One step of a line's reckoning.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Part {
    pub words: String,
    /// Exact where the decimal is, rounded to 6 places for showing where it is not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quantity: Option<Exact>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_price: Option<Money>,
    /// Negative for a cap.
    pub amount: Money,
    /// It is a panel's or the excess's cap, or what a person took off; not part of the price.
    pub cap: bool,
}

/// Sums over lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Totals {
    /// What accepted and adjusted lines come to: what the hirer owes so far.
    pub charged: Money,
    /// What lines that still wait for a decision come to, held ones included at what they would be.
    pub undecided: Money,
    /// How many lines a person still has to decide.
    pub open_lines: u32,
    /// How many of those wait for an estimate.
    pub open_estimates: u32,
}

/// The tax inside what is charged under one treatment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TaxGroup {
    pub tax: Tax,
    pub total: Money,
    /// `total x r / (100 + r)` for a standard rate, else zero.
    pub tax_inside: Money,
}
