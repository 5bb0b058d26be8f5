//! Who may do what: one table of role x action. Scope (which depot, whose hire) is the store's business.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A role of staff.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Hands vehicles over.
    Desk,
    /// Takes vehicles back.
    Inspector,
    /// Decides and settles.
    Office,
    /// Everything, and staff, templates and tariffs.
    Manager,
}

impl Role {
    pub const ALL: [Self; 4] = [Self::Desk, Self::Inspector, Self::Office, Self::Manager];
}

/// Something a caller can be allowed to do. One for each kind of deed of the API.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// No sign-in needed: log in, refresh, health, the API's own description.
    Open,
    /// Anybody signed in: their own account.
    SelfService,
    ReadFleet,
    WriteFleet,
    ReadTemplates,
    WriteTemplates,
    ReadTariffs,
    WriteTariffs,
    ReadStaff,
    WriteStaff,
    ReadHires,
    WriteHires,
    CorrectOdometer,
    ReadInspections,
    RecordInspection,
    SignInspection,
    OverrideBriefing,
    ReadPhotos,
    ReadOriginalPhotos,
    ReadComparison,
    DecideLines,
    ReadLedger,
    PostMovements,
    CloseSettlement,
    ReadStatement,
    ReadBundle,
    ReadWorkbench,
    ShareLinks,
    AnswerDisputes,
    ReadBank,
    ReconcileBank,
    ReadReports,
    /// By a hirer, with their own link.
    FollowLink,
}

impl Action {
    pub const ALL: [Self; 33] = [
        Self::Open,
        Self::SelfService,
        Self::ReadFleet,
        Self::WriteFleet,
        Self::ReadTemplates,
        Self::WriteTemplates,
        Self::ReadTariffs,
        Self::WriteTariffs,
        Self::ReadStaff,
        Self::WriteStaff,
        Self::ReadHires,
        Self::WriteHires,
        Self::CorrectOdometer,
        Self::ReadInspections,
        Self::RecordInspection,
        Self::SignInspection,
        Self::OverrideBriefing,
        Self::ReadPhotos,
        Self::ReadOriginalPhotos,
        Self::ReadComparison,
        Self::DecideLines,
        Self::ReadLedger,
        Self::PostMovements,
        Self::CloseSettlement,
        Self::ReadStatement,
        Self::ReadBundle,
        Self::ReadWorkbench,
        Self::ShareLinks,
        Self::AnswerDisputes,
        Self::ReadBank,
        Self::ReconcileBank,
        Self::ReadReports,
        Self::FollowLink,
    ];
}

/// The table. Rows are actions; the answer is whether a role may.
#[must_use]
pub const fn allows(role: Role, action: Action) -> bool {
    use Role::{Desk, Inspector, Manager, Office};
    match action {
        Action::Open
        | Action::SelfService
        | Action::ReadFleet
        | Action::ReadTemplates
        | Action::ReadTariffs
        | Action::ReadHires
        | Action::ReadInspections
        | Action::ReadPhotos
        | Action::ReadComparison
        | Action::ReadStatement => true,
        Action::WriteFleet | Action::WriteTemplates | Action::WriteTariffs | Action::ReadStaff | Action::WriteStaff => {
            matches!(role, Manager)
        }
        Action::WriteHires => matches!(role, Desk | Office | Manager),
        Action::RecordInspection | Action::SignInspection => matches!(role, Desk | Inspector | Manager),
        Action::OverrideBriefing => matches!(role, Desk | Manager),
        Action::ReadOriginalPhotos | Action::CorrectOdometer | Action::DecideLines | Action::CloseSettlement => {
            matches!(role, Office | Manager)
        }
        Action::ReadBundle
        | Action::ReadWorkbench
        | Action::AnswerDisputes
        | Action::ReadBank
        | Action::ReconcileBank
        | Action::ReadReports => matches!(role, Office | Manager),
        Action::ShareLinks => matches!(role, Desk | Office | Manager),
        // Done by hirers with their link, never by staff.
        Action::FollowLink => false,
        // The desk takes deposits at departure, and must see one that a colleague has taken.
        Action::ReadLedger | Action::PostMovements => matches!(role, Desk | Office | Manager),
    }
}
