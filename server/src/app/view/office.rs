use super::Statement;
use crate::app::reports::Reported;
use crate::store::record::{Contest, Link, Standing};
use handsel_documents::statement::Operator;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, DisputeId, HireId, InspectionId, PhotoId, StaffId};
use handsel_domain::inspection::Leg;
use handsel_domain::money::Money;
use handsel_domain::report::Report;
use handsel_domain::text::Lang;
use handsel_domain::time::{Instant, Zone};
use serde::Serialize;
use utoipa::ToSchema;

/// What stands between a hire and its closed settlement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Block {
    /// The hirer disputes something, and nobody has answered.
    Disputed,
    /// Lines are put aside, by a person or by a missed briefing.
    Held,
    EstimateMissing,
    /// Lines are still to be decided.
    Undecided,
    /// Everything is decided, and money is still held.
    MoneyHeld,
    /// Everything is decided, and money is still owed.
    MoneyOwed,
    /// More was received than is charged.
    MoneyToRepay,
    /// Nothing is in the way.
    ReadyToClose,
}

/// How a card hold stands against its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum HoldState {
    /// Nothing is held on a card, or its end is not known.
    None,
    Stands,
    LapsesSoon,
    Lapsed,
}

/// A return that waits for the office.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Waiting {
    pub hire: HireId,
    pub depot: DepotId,
    pub reference: String,
    pub status: HireStatus,
    /// The lead driver's name; empty once erased.
    pub hirer: String,
    pub vehicle_name: String,
    pub vehicle_registration: String,
    pub zone: Zone,
    #[schema(required = true)]
    pub returned_at: Option<Instant>,
    /// The promise is past.
    pub overdue: bool,
    pub hold: HoldState,
    pub blocks: Vec<Block>,
    pub standing: Standing,
}

/// A card hold that lapses soon, or has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct LapsingHold {
    pub hire: HireId,
    pub reference: String,
    pub status: HireStatus,
    pub vehicle_name: String,
    pub held: Money,
    pub ends_at: Instant,
    pub state: HoldState,
}

/// How much there is to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct WorkbenchSummary {
    pub waiting: u64,
    /// How many of those were promised by now.
    pub overdue: u64,
    /// The first to lapse first; at most 200.
    pub holds: Vec<LapsingHold>,
    pub hold_warning_days: u32,
}

/// A link for a hirer that was just made. The address is told this once: it is not kept.
#[derive(Clone, Serialize, ToSchema)]
pub struct LinkMade {
    pub link: Link,
    /// Whoever has it reads the hire.
    pub address: String,
    /// Where a letter with it goes to; none when there is no mail server, or no address.
    #[schema(required = true)]
    pub mailed_to: Option<String>,
}

// The address is as good as a password.
impl std::fmt::Debug for LinkMade {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("LinkMade").field("link", &self.link.id).finish_non_exhaustive()
    }
}

/// A dispute with the names beside its ids.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct DisputeView {
    #[serde(flatten)]
    pub dispute: Contest,
    /// As the comparison names the line now; its key when it has none.
    pub title: String,
    /// Who answered; empty while nobody has.
    pub answered_by_name: String,
}

/// What a hirer sees of a dispute of theirs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct OwnDispute {
    pub id: DisputeId,
    pub line: String,
    pub amount: Money,
    pub words: String,
    pub photos: Vec<PhotoId>,
    pub raised_at: Instant,
    #[schema(required = true)]
    pub outcome: Option<handsel_domain::dispute::DisputeOutcome>,
    #[schema(required = true)]
    pub answer: Option<String>,
    #[schema(required = true)]
    pub answered_at: Option<Instant>,
}

impl From<Contest> for OwnDispute {
    fn from(contest: Contest) -> Self {
        Self {
            id: contest.id,
            line: contest.line,
            amount: contest.amount,
            words: contest.words,
            photos: contest.photos,
            raised_at: contest.raised_at,
            outcome: contest.outcome,
            answer: contest.answer,
            answered_at: contest.answered_at,
        }
    }
}

/// A signed walk-round of a hirer's own hire.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct OwnRecord {
    pub inspection: InspectionId,
    pub leg: Leg,
    pub signed_at: Instant,
    /// SHA-256 of the record that was signed; none where it is not sealed.
    #[schema(required = true)]
    pub record_sha256: Option<String>,
}

/// Everything a hirer's link shows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct OwnHire {
    pub hire: HireId,
    pub reference: String,
    pub operator: Operator,
    pub hirer: String,
    pub vehicle: String,
    pub registration: String,
    pub zone: Zone,
    pub lang: Lang,
    pub status: HireStatus,
    pub agreed_departure: Instant,
    pub agreed_return: Instant,
    #[schema(required = true)]
    pub returned_at: Option<Instant>,
    pub records: Vec<OwnRecord>,
    /// None before the vehicle is back.
    #[schema(required = true)]
    pub statement: Option<Statement>,
    pub disputes: Vec<OwnDispute>,
    /// When the outcome was promised for.
    #[schema(required = true)]
    pub promised_at: Option<Instant>,
    /// Until when lines can be disputed; none while the settlement is open.
    #[schema(required = true)]
    pub dispute_until: Option<Instant>,
    /// Lines can be disputed now.
    pub may_dispute: bool,
    pub link_expires_at: Instant,
}

/// A report with the names beside its ids.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReportView {
    #[serde(flatten)]
    pub report: Report,
    pub staff: Vec<StaffName>,
}

/// Somebody of the staff.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct StaffName {
    pub id: StaffId,
    pub name: String,
}

impl From<Reported> for ReportView {
    fn from(told: Reported) -> Self {
        let staff = told.staff.into_iter().map(|(id, name)| StaffName { id, name });
        Self { report: told.report, staff: staff.collect() }
    }
}
