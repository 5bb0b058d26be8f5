//! The case document: one hire's departure, return and tariff in one self-contained piece. `handsel compare` reads
//! it, `GET /api/v1/hires/{id}/case` writes it, an evidence bundle carries it.

use crate::exact::Exact;
use crate::ids::{DecisionId, HireId, StaffId, VehicleId};
use crate::inspection::{Inspection, Mark};
use crate::money::Money;
use crate::readings::battery::Chemistry;
use crate::readings::lpg::Gas;
use crate::tariff::Tariff;
use crate::template::{Key, Template};
use crate::time::{Date, Instant, Zone};
use crate::units::DistanceUnit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The one format name and version this release reads and writes.
pub const FORMAT: &str = "handsel-case/1";

/// A whole departure, return and tariff.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// Always `handsel-case/1`.
    #[schema(pattern = "^handsel-case/1$")]
    pub format: String,
    pub depot: CaseDepot,
    pub vehicle: CaseVehicle,
    pub template: Template,
    pub tariff: Tariff,
    pub hire: CaseHire,
    /// Every damage known when the departure was signed, whichever inspection first saw it.
    #[serde(default)]
    pub register: Vec<Mark>,
    pub departure: Inspection,
    #[serde(rename = "return")]
    pub return_: Inspection,
    /// Recorded by the office when the odometer was replaced during the hire.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odometer_replacement: Option<OdometerReplacement>,
    /// What people decided about proposed lines, oldest first; the last one for a line holds.
    #[serde(default)]
    pub decisions: Vec<Decision>,
}

/// Where the hire runs from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseDepot {
    pub name: String,
    /// IANA zone, such as `Europe/London`.
    pub zone: Zone,
}

/// The vehicle, as far as the reckoning needs it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseVehicle {
    pub id: VehicleId,
    pub name: String,
    /// Equipment fitted.
    #[serde(default)]
    pub equipment: Vec<Key>,
    pub tank_litres: Exact,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leisure_battery: Option<Chemistry>,
    #[serde(default)]
    pub gas: Gas,
    /// Gas appliances, for the burn times shown with what is left.
    #[serde(default)]
    pub gas_appliances: Vec<GasAppliance>,
    /// Mains appliances, for the pitch limits shown in the hook-up briefing.
    #[serde(default)]
    pub mains_appliances: Vec<MainsAppliance>,
    /// When each kind of kit was bought.
    #[serde(default)]
    pub kit: Vec<KitAge>,
}

/// A gas appliance and its rated input.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GasAppliance {
    pub name: String,
    pub input_kw: Exact,
}

/// A mains appliance and its rated power.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MainsAppliance {
    pub name: String,
    pub watts: u32,
}

/// When a kind of kit was bought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitAge {
    pub item: Key,
    pub acquired: Date,
}

/// What was agreed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseHire {
    pub id: HireId,
    pub reference: String,
    pub agreed_departure: Instant,
    pub agreed_return: Instant,
    /// Extensions agreed in writing, oldest first; the last one's return holds.
    #[serde(default)]
    pub extensions: Vec<Extension>,
    /// Most the hirer owes for damage.
    pub excess: Money,
    /// Damage the excess does not cap.
    #[serde(default)]
    pub outside_excess: OutsideExcess,
    /// The hirer has not had this layout before.
    #[serde(default)]
    pub new_to_layout: bool,
    #[serde(default)]
    pub pets: bool,
    #[serde(default)]
    pub trailer: bool,
    /// Where the hirer says it goes, such as `alpine`.
    #[serde(default)]
    pub trips: Vec<Key>,
}

impl CaseHire {
    /// The agreed return, as last extended.
    #[must_use]
    pub fn due_back(&self) -> Instant {
        self.extensions.last().map_or(self.agreed_return, |e| e.agreed_return)
    }
}

/// A later return agreed in writing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Extension {
    pub agreed_at: Instant,
    pub agreed_return: Instant,
    /// The letter or message it was agreed in.
    pub reference: String,
}

/// Damage the excess does not cap.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OutsideExcess {
    #[serde(default)]
    pub kinds: Vec<Key>,
    #[serde(default)]
    pub panels: Vec<Key>,
    #[serde(default)]
    pub groups: Vec<Key>,
}

/// An odometer replaced during the hire: the old one's last figure and the new one's first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OdometerReplacement {
    pub old_last: Exact,
    pub new_first: Exact,
    pub unit: DistanceUnit,
    pub reason: String,
}

/// What a person decided about one proposed line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    pub id: DecisionId,
    /// Key of the line, such as `fuel`.
    pub line: String,
    pub verdict: Verdict,
    /// With `adjust`: what is charged instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Money>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<StaffId>,
    pub at: Instant,
}

/// The four decisions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Accept,
    Adjust,
    Waive,
    Hold,
}
