use handsel_domain::ids::{BankEntryId, HireId, ImportId, MovementId, StaffId};
use handsel_domain::money::Money;
use handsel_domain::reconcile::MatchedBy;
use handsel_domain::time::{Date, Instant};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a bank's file was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BankFormat {
    /// ISO 20022 camt.053.
    Camt053,
    /// Columns by name.
    Csv,
}

/// How far reading a file in has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ImportState {
    /// The file is whole and right; its entries are being kept.
    Running,
    Done,
    /// It broke off: sent again, what is kept already stays single.
    Broken,
}

/// A bank's file that was read in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BankImport {
    pub id: ImportId,
    /// As the file was called.
    pub name: String,
    pub sha256: String,
    pub format: BankFormat,
    #[schema(required = true)]
    pub version: Option<String>,
    pub accounts: Vec<String>,
    /// Booked entries in the file.
    pub entries: u64,
    /// How many of them have been gone through.
    pub read: u64,
    /// How many of them were new.
    pub added: u64,
    /// Announced and not booked: left out.
    pub pending: u64,
    pub state: ImportState,
    #[schema(required = true)]
    pub reason: Option<String>,
    pub by: StaffId,
    pub at: Instant,
    #[schema(required = true)]
    pub ended_at: Option<Instant>,
}

/// Where an entry stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BankEntryState {
    /// Nobody knows what it is yet.
    Open,
    Matched,
    /// A person said that it is none of a deposit.
    Aside,
}

/// One entry of a bank's statement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BankEntry {
    pub id: BankEntryId,
    pub import: ImportId,
    pub account: String,
    /// Positive: money came in.
    pub amount: Money,
    /// It undoes an earlier entry.
    pub reversal: bool,
    pub booked_on: Date,
    #[schema(required = true)]
    pub value_on: Option<Date>,
    #[schema(required = true)]
    pub bank_reference: Option<String>,
    pub references: Vec<String>,
    #[schema(required = true)]
    pub party: Option<String>,
    pub words: String,
    pub state: BankEntryState,
    #[schema(required = true)]
    pub aside_reason: Option<String>,
}

/// What an entry was matched with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BankMatch {
    pub entry: BankEntryId,
    pub movement: MovementId,
    pub hire: HireId,
    pub means: MatchedBy,
    /// Nobody, where it was matched by reference or by amount and date.
    #[schema(required = true)]
    pub by: Option<StaffId>,
    pub at: Instant,
}
