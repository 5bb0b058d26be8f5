use handsel_domain::dispute::{DisputeOutcome, Raised};
use handsel_domain::ids::{DepotId, DisputeId, HireId, LinkId, PhotoId, StaffId};
use handsel_domain::money::Money;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// Where the money of one hire stands, reckoned when it last changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Standing {
    pub hire: HireId,
    #[serde(skip)]
    #[schema(ignore)]
    pub depot: Option<DepotId>,
    /// The vehicle is back and the office has something to do.
    pub waiting: bool,
    /// When the hirer was promised the outcome; none before the vehicle is back.
    #[schema(required = true)]
    pub promised_at: Option<Instant>,
    /// Lines a person still has to decide.
    pub open_lines: u32,
    /// How many of those have a weak point.
    pub weak_lines: u32,
    /// How many of those a person or a missed briefing holds.
    pub held_lines: u32,
    /// How many of those wait for an estimate.
    pub open_estimates: u32,
    /// What the hirer disputes and nobody has answered.
    pub open_disputes: u32,
    pub charged: Money,
    /// What lines that are still open would come to.
    pub undecided: Money,
    /// What is still held of the deposit.
    pub held: Money,
    /// The part of it that is a hold on a card.
    pub held_card: Money,
    /// Charged less received and written off; negative when too much was received.
    pub outstanding: Money,
    /// When the first of the card holds lapses by itself, while anything is held on a card.
    #[schema(required = true)]
    pub hold_ends_at: Option<Instant>,
}

/// A link by which a hirer reads their own hire.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Link {
    pub id: LinkId,
    pub hire: HireId,
    pub lang: Lang,
    pub issued_at: Instant,
    pub issued_by: StaffId,
    pub expires_at: Instant,
    #[schema(required = true)]
    pub revoked_at: Option<Instant>,
    #[schema(required = true)]
    pub revoked_by: Option<StaffId>,
    /// When it was last followed.
    #[schema(required = true)]
    pub opened_at: Option<Instant>,
}

/// One charge that a hirer disputes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Contest {
    pub id: DisputeId,
    pub hire: HireId,
    pub link: LinkId,
    /// Key of the line.
    pub line: String,
    /// What the line came to when it was disputed.
    pub amount: Money,
    pub words: String,
    pub photos: Vec<PhotoId>,
    pub raised_at: Instant,
    /// The settlement was closed already: what follows is a further movement.
    pub after_settlement: bool,
    #[schema(required = true)]
    pub outcome: Option<DisputeOutcome>,
    #[schema(required = true)]
    pub answer: Option<String>,
    #[schema(required = true)]
    pub answered_at: Option<Instant>,
    #[schema(required = true)]
    pub answered_by: Option<StaffId>,
}

impl Contest {
    #[must_use]
    pub const fn is_open(&self) -> bool {
        self.outcome.is_none()
    }

    #[must_use]
    pub fn raised(&self) -> Raised<'_> {
        Raised { id: self.id, line: &self.line, words: &self.words, at: self.raised_at }
    }
}

/// A photograph that came with a dispute.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ContestPhoto {
    pub id: PhotoId,
    pub hire: HireId,
    pub link: LinkId,
    pub sha256: String,
    pub media_type: String,
    pub bytes: u64,
    pub received_at: Instant,
}

/// Why a letter is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LetterKind {
    /// The link to their own hire.
    Link,
    /// A dispute has arrived.
    DisputeReceived,
    /// A dispute was answered.
    DisputeAnswered,
    /// The settlement was closed.
    Settled,
}

/// A letter by electronic mail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Letter {
    pub id: Uuid,
    pub hire: HireId,
    pub kind: LetterKind,
    pub recipient: String,
    pub subject: String,
    pub body: String,
    pub written_at: Instant,
    pub sent_at: Option<Instant>,
}

/// What another program is told of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NoticeKind {
    MovementRecorded,
    HireSettled,
    DisputeRaised,
    DisputeAnswered,
}

/// Something that another program is to be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    pub id: Uuid,
    pub hire: HireId,
    pub kind: NoticeKind,
    pub body: serde_json::Value,
    pub at: Instant,
    pub delivered_at: Option<Instant>,
}

/// That a hire's personal data was erased, and which sealed texts with it: signed, so that a chain of seals without its
/// texts can still be followed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Erasure {
    pub hire: HireId,
    pub at: Instant,
    /// Canonical JSON (RFC 8785): what is signed.
    pub document: String,
    /// SHA-256 of that text.
    pub sha256: String,
    /// Ed25519 (RFC 8032) over the document's text; in base64.
    pub signature: String,
    pub key_id: String,
    /// In PEM.
    pub public_key: String,
}
