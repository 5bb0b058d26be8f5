//! Why a deed was not done: a code that stays the same, and words for whoever asked.

use crate::store::StoreError;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::fmt;
use utoipa::ToSchema;

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {
        /// Every reason for refusing. How each is told over HTTP stands in one table there.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Code { $($(#[$doc])* $name),+ }

        impl Code {
            pub const ALL: &[Self] = &[$(Self::$name),+];
        }
    };
}

codes! {
    BodyInvalid,
    BodyTooLarge,
    UnsupportedMediaType,
    NotAcceptable,
    QueryInvalid,
    PathInvalid,
    HeaderInvalid,
    NotFound,
    MethodNotAllowed,
    IfMatchRequired,
    ChangedMeanwhile,
    IdempotencyKeyRequired,
    IdempotencyKeyReused,
    Unauthenticated,
    TokenExpired,
    Forbidden,
    LoginFailed,
    LoginThrottled,
    RefreshInvalid,
    RefreshReused,
    IdTaken,
    EmailTaken,
    ReferenceTaken,
    RegistrationTaken,
    ValuesInvalid,
    TemplateInvalid,
    TemplateFrozen,
    VersionOutOfTurn,
    TariffInvalid,
    HireState,
    VehicleOut,
    InspectionStarted,
    InspectionClosed,
    AnswersConflict,
    SealDiffers,
    InspectionUnsealed,
    OperationReused,
    OperationOutOfOrder,
    AnswerInvalid,
    InspectionIncomplete,
    BriefingUnacknowledged,
    PhotoEmpty,
    PhotoUnsupported,
    PhotoHeic,
    PhotoAvif,
    PhotoTypeContradicted,
    PhotoTooLarge,
    PhotoTooManyPixels,
    PhotoTooLong,
    PhotoWithoutSize,
    PhotoTooMuchMemory,
    PhotoTruncated,
    PhotoUnreadable,
    PhotoPolyglot,
    PhotoAnimated,
    PhotoInflates,
    PhotoTooManyScans,
    PhotoTooMuchMetadata,
    PhotoColours,
    PhotoCoding,
    PhotoInUse,
    PhotoAwaited,
    UploadDiffers,
    UploadOffset,
    UploadBusy,
    UploadChecksum,
    TusVersion,
    CaseInvalid,
    DecisionRefused,
    MovementRefused,
    LinkInvalid,
    LinkExpired,
    DisputeRefused,
    BankFileRefused,
    MatchRefused,
    LinesUndecided,
    DepositUnsettled,
    DocumentTooLarge,
    NotReady,
    Internal,
}

/// One thing that is wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Fault {
    /// JSON pointer into the body, or the name of a parameter.
    pub pointer: String,
    /// What is wrong and what to do.
    pub detail: String,
}

impl Fault {
    #[must_use]
    pub fn new(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), detail: detail.into() }
    }
}

/// Why a deed was not done. Kept as it is where the same answer must be given again.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Refusal {
    pub code: Code,
    pub detail: String,
    pub faults: Vec<Fault>,
    /// Further members, such as what is still held.
    pub more: Map<String, Value>,
    /// What went wrong inside, for the log only.
    #[serde(skip)]
    pub cause: Option<String>,
}

impl Refusal {
    #[must_use]
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self { code, detail: detail.into(), faults: Vec::new(), more: Map::new(), cause: None }
    }

    #[must_use]
    pub fn with(mut self, faults: Vec<Fault>) -> Self {
        self.faults = faults;
        self
    }

    #[must_use]
    pub fn and(mut self, name: &str, value: impl Serialize) -> Self {
        // A value that cannot be written as JSON is left out of the answer; the words stand without it.
        if let Ok(value) = serde_json::to_value(value) {
            self.more.insert(name.to_owned(), value);
        }
        self
    }

    /// Something is wrong here, not with what was asked. The cause goes to the log, not to the caller.
    #[must_use]
    pub fn internal(cause: impl fmt::Display) -> Self {
        Self {
            cause: Some(cause.to_string()),
            ..Self::new(
                Code::Internal,
                "Something went wrong on the server. Try again; if it stays, tell the operator the request id.",
            )
        }
    }

    /// There is none, or not within the caller's depot: the two are told alike.
    #[must_use]
    pub fn not_found(what: &str) -> Self {
        Self::new(Code::NotFound, format!("There is no such {what}, or it belongs to a depot that is not yours."))
    }

    /// One value is wrong.
    #[must_use]
    pub fn value(pointer: &str, detail: impl Into<String>) -> Self {
        Self::values(vec![Fault::new(pointer, detail)])
    }

    /// Values are wrong.
    #[must_use]
    pub fn values(faults: Vec<Fault>) -> Self {
        Self::new(Code::ValuesInvalid, "Some values cannot be right; see errors.").with(faults)
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}: {}", self.code, self.detail)?;
        for fault in &self.faults {
            write!(f, "; {}: {}", fault.pointer, fault.detail)?;
        }
        self.cause.as_ref().map_or(Ok(()), |cause| write!(f, " ({cause})"))
    }
}

impl std::error::Error for Refusal {}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        Self::internal(error)
    }
}
