use handsel_domain::case::{CaseVehicle, GasAppliance, KitAge, MainsAppliance};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{DepotId, InspectionId, PhotoId, TariffId, TemplateId, VehicleId};
use handsel_domain::inspection::Mark;
use handsel_domain::readings::battery::Chemistry;
use handsel_domain::readings::lpg::Gas;
use handsel_domain::template::{Checkpoint, Key};
use handsel_domain::time::{Instant, Zone};
use handsel_domain::units::DistanceUnit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A place vehicles go out from and come back to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Depot {
    pub id: DepotId,
    pub name: String,
    /// IANA zone, such as `Europe/London`; its wall clock counts hire days.
    pub zone: Zone,
    pub address: String,
    pub phone: String,
    pub version: u32,
}

/// A vehicle of the fleet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Vehicle {
    pub id: VehicleId,
    pub name: String,
    pub registration: String,
    pub depot: DepotId,
    /// The walk-round template its next inspections use.
    pub template: TemplateId,
    /// The tariff its next hires use unless they name another.
    pub tariff: TariffId,
    /// Equipment fitted, named as in the template.
    pub equipment: Vec<Key>,
    /// Questions this vehicle has beyond its template.
    pub added: Vec<Addition>,
    /// Checkpoints, viewpoints, inventory items and topics of the template this vehicle goes without.
    pub removed: Vec<Key>,
    pub figures: Figures,
    pub tank_litres: Exact,
    #[schema(required = true)]
    pub leisure_battery: Option<Chemistry>,
    pub gas: Gas,
    pub cylinders: Vec<CylinderPlace>,
    pub gas_appliances: Vec<GasAppliance>,
    pub mains_appliances: Vec<MainsAppliance>,
    pub kit: Vec<KitAge>,
    pub odometer_unit: DistanceUnit,
    /// Divisions of the fuel gauge; none when the display shows per cent.
    #[schema(required = true)]
    pub fuel_gauge_divisions: Option<u32>,
    /// Can be hired out.
    pub active: bool,
    pub version: u32,
}

impl Vehicle {
    /// What the walk-rounds and the reckoning of one hire need to know, as it is now.
    #[must_use]
    pub fn fitted(&self) -> Fitted {
        Fitted {
            added: self.added.clone(),
            removed: self.removed.clone(),
            vehicle: CaseVehicle {
                id: self.id,
                name: self.name.clone(),
                equipment: self.equipment.clone(),
                tank_litres: self.tank_litres,
                leisure_battery: self.leisure_battery,
                gas: self.gas,
                gas_appliances: self.gas_appliances.clone(),
                mains_appliances: self.mains_appliances.clone(),
                kit: self.kit.clone(),
            },
        }
    }
}

/// A checkpoint of one vehicle, placed at a stop of its template.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Addition {
    pub stop: Key,
    pub checkpoint: Checkpoint,
}

/// The figures a driver must know.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Figures {
    pub height_mm: u32,
    pub width_mm: u32,
    pub length_mm: u32,
    /// Most the loaded vehicle may weigh.
    pub max_mass_kg: u32,
}

/// A place for a gas cylinder, and the cylinder that usually stands there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CylinderPlace {
    pub slot: Key,
    pub net_fill_kg: Exact,
    /// Stamped on the cylinder last seen there.
    #[serde(default)]
    pub tare_kg: Option<Exact>,
}

/// What of a vehicle one hire is measured by. Kept with the departure from its start, so that a later change
/// of the vehicle changes nothing that was agreed or answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fitted {
    pub vehicle: CaseVehicle,
    pub added: Vec<Addition>,
    pub removed: Vec<Key>,
}

/// One damage of a vehicle's register, with what became of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RegisterMark {
    /// Its size is the one last seen.
    #[serde(flatten)]
    pub mark: Mark,
    pub state: RegisterState,
    /// Oldest first.
    pub history: Vec<Seen>,
    #[schema(required = true)]
    pub repaired_at: Option<Instant>,
    #[schema(required = true)]
    pub repair_note: Option<String>,
}

/// Whether a registered damage is still there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RegisterState {
    Open,
    Repaired,
}

/// One time a damage was looked at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Seen {
    pub inspection: InspectionId,
    pub size_mm: u32,
    pub photos: Vec<PhotoId>,
    pub seen_at: Instant,
}
