use super::{
    AbsenceNote, AddendumInput, BriefingInput, EntryInput, Handover, MarkInput, SightingInput, Sign, SignatureInput,
    StartLeg,
};
use handsel_domain::canonical::canonical;
use handsel_domain::ids::{
    AddendumId, DeviceId, EntryId, HireId, InspectionId, MarkId, OperationId, PhotoId, StaffId, TemplateId,
};
use handsel_domain::inspection::{PhotoSubject, SignatureRole};
use handsel_domain::template::Key;
use handsel_domain::time::Instant;
use serde::{Deserialize, Deserializer, de};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::num::NonZeroU32;
use utoipa::ToSchema;

/// What a device recorded, in its own order.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Operations {
    /// Made once for each store of operations; a device that lost its store makes a new one and begins at 1 again.
    pub device: DeviceId,
    /// The device's clock as it sends this, kept beside the server's with what is started or signed.
    #[serde(default)]
    pub sent_at: Option<Instant>,
    /// At most 100, by rising sequence.
    #[schema(value_type = Vec<Operation>, min_items = 1, max_items = 100)]
    pub operations: Vec<Sent>,
}

/// One change, made on a device.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Operation {
    pub id: OperationId,
    /// From 1 on, without gaps, over all inspections of the device.
    #[schema(value_type = u32, minimum = 1)]
    pub sequence: NonZeroU32,
    /// By the device's clock.
    pub done_at: Instant,
    pub inspection: InspectionId,
    /// Who did it, as the device knows: kept beside whoever sends it.
    #[serde(default)]
    pub author: Option<StaffId>,
    /// Read by itself: one that is not understood is refused, and the others go on.
    #[schema(value_type = Deed)]
    pub deed: Value,
}

/// An operation and the SHA-256 of its canonical JSON, as it was sent.
#[derive(Clone, Debug)]
pub struct Sent {
    pub operation: Operation,
    pub content_sha256: String,
}

impl<'de> Deserialize<'de> for Sent {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let value = Value::deserialize(deserializer)?;
        let content_sha256 = hex::encode(Sha256::digest(canonical(&value)));
        let operation = serde_json::from_value(value).map_err(de::Error::custom)?;
        Ok(Self { operation, content_sha256 })
    }
}

/// What was done on a device. Each is what the route of the same name does.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Deed {
    /// Starts the inspection that the operation names; it was started when the operation was done.
    Start {
        hire: HireId,
        leg: StartLeg,
        /// The walk-round a departure was begun with on the device; left out: the vehicle's as it is now.
        #[serde(default)]
        template: Option<TemplateId>,
    },
    Entry {
        id: EntryId,
        input: EntryInput,
    },
    EntryRemoved {
        id: EntryId,
    },
    /// Tells of a photograph before its bytes are sent. It counts from here on; only the bytes of this hash are taken
    /// for it.
    Photo {
        id: PhotoId,
        subject: PhotoSubject,
        taken_at: Instant,
        #[schema(pattern = "^[0-9a-f]{64}$")]
        sha256: String,
        bytes: u64,
        /// Upright, in pixels.
        width: u32,
        height: u32,
        /// `image/jpeg`, `image/png` or `image/webp`.
        content_type: String,
    },
    PhotoRemoved {
        id: PhotoId,
    },
    Mark {
        id: MarkId,
        input: MarkInput,
    },
    MarkRemoved {
        id: MarkId,
    },
    Sighting {
        mark: MarkId,
        input: SightingInput,
    },
    SightingRemoved {
        mark: MarkId,
    },
    Briefing {
        topic: Key,
        input: BriefingInput,
    },
    Handover {
        at: Instant,
    },
    Signature {
        role: SignatureRole,
        input: SignatureInput,
    },
    Absence {
        reason: String,
        at: Instant,
    },
    /// Signed and sealed when the operation was done.
    Sign(Sign),
    /// To a sealed inspection.
    Addendum {
        id: AddendumId,
        input: AddendumInput,
    },
}

impl From<Instant> for Handover {
    fn from(handed_over_at: Instant) -> Self {
        Self { handed_over_at }
    }
}

impl From<String> for AbsenceNote {
    fn from(reason: String) -> Self {
        Self { reason }
    }
}
