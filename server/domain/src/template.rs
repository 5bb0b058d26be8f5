//! What a walk-round asks: stops in walking order, each with viewpoints to photograph, checkpoints to answer
//! and kit to count, and the briefing topics the hirer is told about. A template version never changes once an
//! inspection uses it.

use crate::briefing::When;
use crate::ids::TemplateId;
use crate::tariff::RuleKind;
use crate::text::Text;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A short name used in data: lower-case letters, digits and underscores.
pub type Key = String;

/// One version of a walk-round for one vehicle layout.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Template {
    pub id: TemplateId,
    /// The vehicle layout it is written for, such as `coachbuilt_rear_lounge`.
    pub layout: Key,
    /// Counts up from 1 for each layout.
    pub version: u32,
    pub title: Text,
    /// Equipment a vehicle can have or lack, named so that people can tick it.
    pub equipment: Vec<Equipment>,
    /// Panels marks can be placed on.
    pub panels: Vec<Panel>,
    /// In walking order.
    pub stops: Vec<Stop>,
    /// In the order they are explained.
    pub briefings: Vec<BriefingTopic>,
}

/// Something a vehicle may have fitted, which other parts of the template depend on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    pub key: Key,
    pub title: Text,
}

/// A named part of the vehicle that damage is priced by.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Panel {
    pub key: Key,
    pub title: Text,
    /// The tariff's group of panels that cost the same to put right, such as `bodywork`, `glass`, `furniture`.
    pub group: Key,
}

/// A place to stand during the walk-round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Stop {
    pub key: Key,
    pub title: Text,
    /// Where to stand and what this stop is about, one or two sentences.
    pub guidance: Text,
    #[serde(default)]
    pub viewpoints: Vec<Viewpoint>,
    #[serde(default)]
    pub checkpoints: Vec<Checkpoint>,
    #[serde(default)]
    pub inventory: Vec<InventoryItem>,
}

/// A photograph taken from the same place at departure and at return.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Viewpoint {
    pub key: Key,
    pub title: Text,
    /// Where to stand and what must be in the picture.
    pub guidance: Text,
    /// Equipment that must all be fitted for this to be asked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<Key>,
    /// Panels visible from here: a mark placed on this photograph is on one of them.
    #[serde(default)]
    pub panels: Vec<Key>,
}

/// One question of the walk-round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Checkpoint {
    pub key: Key,
    /// The system it belongs to, such as `mains_inlet`; used to prove that no system is left out.
    pub system: Key,
    pub title: Text,
    /// What to do and what to look for.
    pub guidance: Text,
    /// Shown with a warning sign; ends by deferring to the maker's handbook, local rules and qualified people.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Text>,
    #[serde(default)]
    pub leg: Legs,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<Key>,
    pub ask: Ask,
    #[serde(default)]
    pub photo: PhotoNeed,
}

/// On which legs something is asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Legs {
    #[default]
    Both,
    Departure,
    Return,
}

/// Whether a checkpoint wants a photograph.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PhotoNeed {
    #[default]
    Optional,
    Required,
}

/// What kind of answer a checkpoint takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Ask {
    /// In order, needs attention, or missing.
    Condition,
    Odometer,
    Fuel,
    /// A gas cylinder's gross weight and stamped tare, for one place in the locker (`1`, `2`).
    Cylinder {
        slot: Key,
    },
    LeisureBattery,
    StarterBattery,
    Water {
        tank: WaterTank,
    },
    Cassette,
    /// Tread depth of one tyre, such as `front_nearside`.
    Tread {
        wheel: Key,
    },
    /// Number of keys handed over.
    Keys,
    Cleanliness {
        area: Area,
    },
}

/// Which water tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WaterTank {
    Fresh,
    Waste,
}

/// Which side of the door cleanliness is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Area {
    Inside,
    Outside,
}

/// A piece of loose kit that is counted. Its answer's checkpoint key is the item's key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InventoryItem {
    pub key: Key,
    pub title: Text,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guidance: Option<Text>,
    /// How many pieces belong to the vehicle.
    pub pieces: u32,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<Key>,
}

/// Something the hirer is told before leaving.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BriefingTopic {
    pub key: Key,
    pub title: Text,
    /// What the hirer reads, in paragraphs; plain enough to follow without the staff member.
    pub body: Vec<Text>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Text>,
    /// Must be acknowledged before the departure can be signed.
    #[serde(default)]
    pub critical: bool,
    pub due: When,
    /// The return findings this topic bears on: missed, it weakens their lines.
    #[serde(default)]
    pub bears_on: Vec<Bearing>,
}

/// A kind of return finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "on", rename_all = "snake_case", deny_unknown_fields)]
pub enum Bearing {
    /// Lines of one tariff rule, such as `fuel` or `cassette`.
    Rule { rule: RuleKind },
    /// A condition checkpoint that was in order at departure and is not at return.
    Checkpoint { checkpoint: Key },
    /// Damage to a panel; every kind when `kinds` is empty.
    Panel {
        panel: Key,
        #[serde(default)]
        kinds: Vec<Key>,
    },
    /// A piece of kit that did not come back.
    Item { item: Key },
}
