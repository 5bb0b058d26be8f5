use super::patch::present;
use crate::store::record::Driver;
use handsel_domain::case::OutsideExcess;
use handsel_domain::deposit::Means;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, HireId, TariffId, VehicleId};
use handsel_domain::money::Money;
use handsel_domain::template::Key;
use handsel_domain::time::{Date, Instant};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A new hire.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewHire {
    pub id: HireId,
    pub reference: String,
    pub depot: DepotId,
    pub vehicle: VehicleId,
    /// Left out: the vehicle's.
    #[serde(default)]
    pub tariff: Option<TariffId>,
    pub agreed_departure: Instant,
    pub agreed_return: Instant,
    pub excess: Money,
    #[serde(default)]
    pub outside_excess: OutsideExcess,
    pub deposit: Money,
    pub deposit_means: Means,
    #[serde(default)]
    pub new_to_layout: bool,
    #[serde(default)]
    pub pets: bool,
    #[serde(default)]
    pub trailer: bool,
    #[serde(default)]
    pub trips: Vec<Key>,
    #[serde(default)]
    pub drivers: Vec<Driver>,
}

/// A change to a hire that is still booked.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HireEdit {
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub reference: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = DepotId, required = false)]
    pub depot: Option<DepotId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = VehicleId, required = false)]
    pub vehicle: Option<VehicleId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = TariffId, required = false)]
    pub tariff: Option<TariffId>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Instant, required = false)]
    pub agreed_departure: Option<Instant>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Instant, required = false)]
    pub agreed_return: Option<Instant>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Money, required = false)]
    pub excess: Option<Money>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = OutsideExcess, required = false)]
    pub outside_excess: Option<OutsideExcess>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Money, required = false)]
    pub deposit: Option<Money>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Means, required = false)]
    pub deposit_means: Option<Means>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = bool, required = false)]
    pub new_to_layout: Option<bool>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = bool, required = false)]
    pub pets: Option<bool>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = bool, required = false)]
    pub trailer: Option<bool>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Vec<Key>, required = false)]
    pub trips: Option<Vec<Key>>,
}

/// Why a hire is called off.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Cancel {
    pub reason: String,
}

/// A driver, whose id is in the path.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DriverDetails {
    pub name: String,
    #[serde(default)]
    pub email: String,
    #[serde(default)]
    pub phone: String,
    /// The hirer; whoever was before no longer is.
    #[serde(default)]
    pub lead: bool,
}

/// A later return, agreed in writing.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewExtension {
    pub agreed_return: Instant,
    /// The letter or message it was agreed in.
    pub reference: String,
}

/// Which hires are looked for.
#[derive(Clone, Debug, Default)]
pub struct HireFilter {
    pub status: Option<HireStatus>,
    pub depot: Option<DepotId>,
    pub vehicle: Option<VehicleId>,
    pub due: Option<HireDue>,
    pub on: Option<Date>,
    pub words: Option<String>,
}

/// What is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum HireDue {
    /// Booked, and to leave on or before the day.
    Departures,
    /// Out, and due back on or before the day.
    Returns,
}
