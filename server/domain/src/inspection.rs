//! What one walk-round recorded: answers, photographs, marks, briefings and signatures.

use crate::exact::{Exact, ExactError};
use crate::ids::{EntryId, InspectionId, MarkId, PhotoId, StaffId};
use crate::measure::Measured;
use crate::template::Key;
use crate::time::Instant;
use crate::units::DistanceUnit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Which walk-round of a hire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Leg {
    Departure,
    Return,
    Interim,
}

/// One walk-round, as recorded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    pub id: InspectionId,
    pub leg: Leg,
    pub started_at: Instant,
    /// When the vehicle changed hands: given out at departure, given back at return.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handed_over_at: Option<Instant>,
    /// The device's clock beside the server's, read at the same moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clocks: Option<Clocks>,
    #[serde(default)]
    pub entries: Vec<Entry>,
    #[serde(default)]
    pub photos: Vec<Photo>,
    /// Damage first seen on this walk-round. At departure these join the register before the hirer signs.
    #[serde(default)]
    pub marks: Vec<Mark>,
    /// Registered damage looked at again.
    #[serde(default)]
    pub sightings: Vec<Sighting>,
    #[serde(default)]
    pub briefings: Vec<BriefingRecord>,
    #[serde(default)]
    pub signatures: Vec<Signature>,
    /// Noted when the hirer was not there to sign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hirer_absent: Option<Absence>,
    /// When it was signed and closed; open until then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed_at: Option<Instant>,
}

/// Two clocks read at the same moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Clocks {
    pub device: Instant,
    pub server: Instant,
}

/// One recorded answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    pub id: EntryId,
    /// A checkpoint or an inventory item of the template.
    pub checkpoint: Key,
    pub answer: Answer,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<PhotoId>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    pub recorded_at: Instant,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recorded_by: Option<StaffId>,
    /// Earlier answers to the same question that its author saw, and theirs: none of them counts any more.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<EntryId>,
}

/// An answer, by the kind of question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Answer {
    Condition {
        state: Condition,
    },
    Odometer {
        value: Exact,
        unit: DistanceUnit,
    },
    Fuel {
        level: Level,
    },
    Cylinder(CylinderReading),
    LeisureBattery(BatteryReading),
    StarterBattery {
        volts: Exact,
        /// Half-width of the meter's interval, in volts.
        half_width: Exact,
    },
    Water {
        level: Level,
        /// The drain was opened and nothing more came.
        drained: bool,
    },
    Cassette {
        state: CassetteState,
        /// Water and fluid were put in for the next use.
        dosed: bool,
    },
    Tread {
        /// Shallowest of the places measured, in mm.
        mm: Exact,
        half_width: Exact,
    },
    Keys {
        pieces: u32,
    },
    Cleanliness {
        /// A grade of the tariff.
        grade: Key,
    },
    /// Pieces of one inventory item.
    Count {
        pieces: u32,
    },
}

/// The state of something looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    InOrder,
    NeedsAttention,
    Missing,
    /// Could not be looked at; the note says why.
    NotChecked,
}

/// A level in a tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Level {
    /// A gauge in `of` divisions, read to the nearest: half-width `1/(2 of)` of the tank.
    Gauge { part: u32, of: u32 },
    /// A display in per cent of the tank, with the half-width of its interval in per cent.
    Percent { value: Exact, half_width: Exact },
}

/// One gas cylinder on the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CylinderReading {
    pub gross_kg: Exact,
    /// Stamped on this very cylinder; taken as exact.
    pub tare_kg: Exact,
    /// What this cylinder holds when full.
    pub net_fill_kg: Exact,
    /// Half-width of the scale's interval: half its last digit plus what its maker states.
    pub half_width_kg: Exact,
}

/// The leisure battery's open-circuit voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BatteryReading {
    pub volts: Exact,
    /// Half-width of the meter's interval, in volts.
    pub half_width: Exact,
    /// Minutes since the last charge or load.
    pub minutes_at_rest: u32,
    /// Recorded, not used: published corrections contradict each other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<Exact>,
}

/// How a toilet cassette was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CassetteState {
    EmptyRinsed,
    Empty,
    PartFull,
    Full,
}

/// A stored photograph.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    pub id: PhotoId,
    /// SHA-256 of the bytes as they came, in lower-case hexadecimal.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub sha256: String,
    pub subject: PhotoSubject,
    /// By the device's clock.
    pub taken_at: Instant,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_at: Option<Instant>,
    /// Earlier photographs that this one is again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repeats: Vec<Repeat>,
    /// The device told of it, with its hash; its bytes have not come yet.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub awaited: bool,
}

/// An earlier photograph that one is again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Repeat {
    pub photo: PhotoId,
    pub whose: RepeatOf,
    pub how: RepeatHow,
}

/// Whose the earlier photograph is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RepeatOf {
    /// The departure's of the same hire.
    Departure,
    OtherVehicle,
}

/// How the two were found to be one picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RepeatHow {
    SameBytes,
    LooksTheSame,
}

/// What a photograph is of.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(tag = "of", rename_all = "snake_case", deny_unknown_fields)]
pub enum PhotoSubject {
    Viewpoint { viewpoint: Key },
    Checkpoint { checkpoint: Key },
    Mark { mark: MarkId },
}

/// One damage of the register, placed on a photograph of this very vehicle.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    pub id: MarkId,
    pub panel: Key,
    /// Such as `scratch`, `dent`, `crack`.
    pub kind: Key,
    /// Longest extent.
    pub size_mm: u32,
    pub depth: Depth,
    pub viewpoint: Key,
    /// Place on the viewpoint's photograph, from its top left corner, 0 to 1.
    pub x: Exact,
    pub y: Exact,
    /// The photograph it was placed on and any closer ones.
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    pub first_seen: InspectionId,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// How deep damage goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Depth {
    Surface,
    ThroughFinish,
    Deformed,
    Through,
}

/// Registered damage looked at again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Sighting {
    pub mark: MarkId,
    pub size_mm: u32,
    #[serde(default)]
    pub photos: Vec<PhotoId>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What became of one briefing topic at departure.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BriefingRecord {
    pub topic: Key,
    /// When it was on the screen before the hirer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown_at: Option<Instant>,
    /// When the hirer acknowledged it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acknowledged_at: Option<Instant>,
    /// Staff went on without it; counts as missed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overridden: Option<Override>,
}

/// Staff went on without a topic being acknowledged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Override {
    pub reason: String,
    pub at: Instant,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<StaffId>,
}

/// A signature under an inspection.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Signature {
    pub role: SignatureRole,
    pub name: String,
    pub signed_at: Instant,
    /// SHA-256 of the strokes' canonical JSON, in lower-case hexadecimal.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub strokes_sha256: String,
    /// SHA-256 of the record as the signer's device showed it (rule 9).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub record_sha256: Option<String>,
}

/// Who signed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SignatureRole {
    Hirer,
    Staff,
}

/// The hirer was not there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Absence {
    pub reason: String,
    pub noted_at: Instant,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub noted_by: Option<StaffId>,
}

impl Inspection {
    /// The last answer to a checkpoint or item.
    #[must_use]
    pub fn entry(&self, checkpoint: &str) -> Option<&Entry> {
        self.entries.iter().rev().find(|e| e.checkpoint == checkpoint)
    }
}

impl Level {
    /// The level as a share of the tank (0 to 1) with its half-width.
    ///
    /// # Errors
    /// A gauge of zero divisions.
    pub fn share(self) -> Result<Measured, ExactError> {
        match self {
            Self::Gauge { part, of } => {
                Ok(Measured::new(Exact::ratio(i64::from(part), i64::from(of))?, Exact::ratio(1, i64::from(of) * 2)?))
            }
            Self::Percent { value, half_width } => {
                let hundred = Exact::whole(100);
                Ok(Measured::new(value.over(hundred)?, half_width.over(hundred)?))
            }
        }
    }
}
