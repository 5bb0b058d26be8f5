use super::patch::present;
use crate::store::record::{Addition, CylinderPlace, Figures};
use handsel_domain::case::{GasAppliance, KitAge, MainsAppliance};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{DepotId, TariffId, TemplateId, VehicleId};
use handsel_domain::readings::battery::Chemistry;
use handsel_domain::readings::lpg::Gas;
use handsel_domain::template::Key;
use handsel_domain::time::Zone;
use handsel_domain::units::DistanceUnit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A new depot.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDepot {
    pub id: DepotId,
    pub name: String,
    pub zone: Zone,
    #[serde(default)]
    pub address: String,
    #[serde(default)]
    pub phone: String,
}

/// A change to a depot.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DepotEdit {
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub name: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Zone, required = false)]
    pub zone: Option<Zone>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub address: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub phone: Option<String>,
}

/// A new vehicle.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewVehicle {
    pub id: VehicleId,
    pub name: String,
    pub registration: String,
    pub depot: DepotId,
    pub template: TemplateId,
    pub tariff: TariffId,
    #[serde(default)]
    pub equipment: Vec<Key>,
    #[serde(default)]
    pub added: Vec<Addition>,
    #[serde(default)]
    pub removed: Vec<Key>,
    pub figures: Figures,
    pub tank_litres: Exact,
    #[serde(default)]
    pub leisure_battery: Option<Chemistry>,
    #[serde(default)]
    pub gas: Gas,
    #[serde(default)]
    pub cylinders: Vec<CylinderPlace>,
    #[serde(default)]
    pub gas_appliances: Vec<GasAppliance>,
    #[serde(default)]
    pub mains_appliances: Vec<MainsAppliance>,
    #[serde(default)]
    pub kit: Vec<KitAge>,
    pub odometer_unit: DistanceUnit,
    #[serde(default)]
    pub fuel_gauge_divisions: Option<u32>,
}

/// A change to a vehicle.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VehicleEdit {
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub name: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub registration: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = DepotId, required = false)]
    pub depot: Option<DepotId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = TemplateId, required = false)]
    pub template: Option<TemplateId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = TariffId, required = false)]
    pub tariff: Option<TariffId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<Key>, required = false)]
    pub equipment: Option<Vec<Key>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<Addition>, required = false)]
    pub added: Option<Vec<Addition>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<Key>, required = false)]
    pub removed: Option<Vec<Key>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Figures, required = false)]
    pub figures: Option<Figures>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Exact, required = false)]
    pub tank_litres: Option<Exact>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Option<Chemistry>, required = false)]
    pub leisure_battery: Option<Option<Chemistry>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Gas, required = false)]
    pub gas: Option<Gas>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<CylinderPlace>, required = false)]
    pub cylinders: Option<Vec<CylinderPlace>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<GasAppliance>, required = false)]
    pub gas_appliances: Option<Vec<GasAppliance>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<MainsAppliance>, required = false)]
    pub mains_appliances: Option<Vec<MainsAppliance>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<KitAge>, required = false)]
    pub kit: Option<Vec<KitAge>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = DistanceUnit, required = false)]
    pub odometer_unit: Option<DistanceUnit>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Option<u32>, required = false)]
    pub fuel_gauge_divisions: Option<Option<u32>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = bool, required = false)]
    pub active: Option<bool>,
}

/// A registered damage was put right.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// What was done.
    pub note: String,
}
