//! What callers are told, where that is more than one stored thing.

mod bank;
mod office;
mod photo;
mod seal;
mod sync;
mod today;

pub use bank::{BankEntryView, Candidate, NamedHire};
pub use handsel_documents::statement::Statement;
pub use office::{
    Block, DisputeView, HoldState, LapsingHold, LinkMade, OwnDispute, OwnHire, OwnRecord, ReportView, StaffName,
    Waiting, WorkbenchSummary,
};
pub use photo::{AdviceView, PhotoFacts, PhotoView, PointerView, PointersView, Processing, RepeatView};
pub use seal::{AddendumView, SealBundle, SealView};
pub use sync::{Fate, Receipt};
pub use today::{Today, TodayHire};

use crate::store::record::{LedgerMovement, Staff};
use handsel_domain::charges::Missed;
use handsel_domain::conflict::Conflict;
use handsel_domain::deposit::Balances;
use handsel_domain::gate::OpenPoint;
use handsel_domain::hookup::Pitch;
use handsel_domain::ids::{HireId, InspectionId, StaffId, TariffId, TemplateId, VehicleId};
use handsel_domain::inspection::{Absence, BriefingRecord, Clocks, Entry, Leg, Mark, Sighting, Signature};
use handsel_domain::money::{Currency, Money};
use handsel_domain::template::Key;
use handsel_domain::text::Text;
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A signed-in session.
#[derive(Serialize, ToSchema)]
pub struct Session {
    /// For the `Authorization: Bearer` header.
    pub access_token: String,
    pub access_expires_at: Instant,
    /// Gets the next session, once.
    pub refresh_token: String,
    pub refresh_expires_at: Instant,
    pub staff: Staff,
}

// Tokens are kept out of logs.
impl std::fmt::Debug for Session {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Session").field("staff", &self.staff.id).finish_non_exhaustive()
    }
}

/// A template without its content.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct TemplateSummary {
    pub id: TemplateId,
    pub layout: Key,
    pub version: u32,
    pub title: Text,
    /// An inspection uses it: it never changes again.
    pub frozen: bool,
}

/// A tariff without its content.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct TariffSummary {
    pub id: TariffId,
    pub name: String,
    pub version: u32,
    pub currency: Currency,
}

/// What a pitch's supply carries, for this vehicle's appliances.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Hookup {
    pub pitches: Vec<Pitch>,
}

/// Whether a walk-round can still be added to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum InspectionStatus {
    Open,
    Signed,
}

/// One walk-round with everything recorded on it and everything still to do.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct InspectionView {
    pub id: InspectionId,
    pub hire: HireId,
    pub vehicle: VehicleId,
    pub leg: Leg,
    pub status: InspectionStatus,
    /// The template version it was started with.
    pub template: TemplateId,
    pub template_version: u32,
    pub started_at: Instant,
    pub started_by: StaffId,
    #[schema(required = true)]
    pub clocks: Option<Clocks>,
    #[schema(required = true)]
    pub handed_over_at: Option<Instant>,
    /// In the order they came; the last answer to a checkpoint counts.
    pub entries: Vec<Entry>,
    /// Answers that stand side by side, by checkpoint: a person chooses before this is signed.
    pub conflicts: Vec<Conflict>,
    pub photos: Vec<PhotoView>,
    /// Damage first seen here.
    pub marks: Vec<Mark>,
    pub sightings: Vec<Sighting>,
    pub briefings: Vec<BriefingRecord>,
    /// The topics that are due for this vehicle and hire, in the order they are explained.
    pub due_topics: Vec<DueTopic>,
    pub signatures: Vec<Signature>,
    #[schema(required = true)]
    pub hirer_absent: Option<Absence>,
    #[schema(required = true)]
    pub signed_at: Option<Instant>,
    /// Made as it is signed; null also for one that was signed before there were seals.
    #[schema(required = true)]
    pub seal: Option<SealView>,
    /// What was added after the seal, in the order it came.
    pub addenda: Vec<AddendumView>,
    pub open_points: Vec<OpenPoint>,
    pub version: u32,
}

/// A briefing topic that is due.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct DueTopic {
    pub topic: Key,
    /// Must be acknowledged before the departure can be signed.
    pub critical: bool,
    /// How it is missed, as things stand; null when it was shown and acknowledged.
    #[schema(required = true)]
    pub missed: Option<Missed>,
}

/// A hire's deposit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Ledger {
    /// Oldest first; never edited.
    pub movements: Vec<LedgerMovement>,
    pub balances: Balances,
    /// What accepted and adjusted lines come to.
    pub owed: Money,
    /// What is still owed: owed less received and written off. Negative: the operator owes the hirer.
    pub outstanding: Money,
    pub agreed_deposit: Money,
}
