//! A tariff: what each kind of difference costs, and how it is taxed. One version never changes once a hire uses it.

use crate::exact::Exact;
use crate::ids::TariffId;
use crate::money::{Currency, Money};
use crate::template::{Area, Key};
use crate::text::Text;
use crate::units::DistanceUnit;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The kinds of rule that can propose a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RuleKind {
    Distance,
    Lateness,
    Fuel,
    Lpg,
    Cassette,
    WasteWater,
    Cleanliness,
    Inventory,
    Damage,
    /// Something that was in order at departure and needs a repair at return.
    Repair,
}

impl RuleKind {
    pub const ALL: [Self; 10] = [
        Self::Distance,
        Self::Lateness,
        Self::Fuel,
        Self::Lpg,
        Self::Cassette,
        Self::WasteWater,
        Self::Cleanliness,
        Self::Inventory,
        Self::Damage,
        Self::Repair,
    ];
}

/// How a line is taxed. The operator's accountant decides; the tariff says; the statement shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "treatment", rename_all = "snake_case", deny_unknown_fields)]
pub enum Tax {
    /// Taxed at a rate in per cent; prices include it.
    Standard {
        rate: Exact,
    },
    Zero,
    Exempt,
    OutsideScope,
}

/// One version of a tariff. A rule that is left out charges nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Tariff {
    pub id: TariffId,
    pub name: String,
    /// Counts up from 1 for each name.
    pub version: u32,
    pub currency: Currency,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<DistanceRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lateness: Option<LatenessRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<FuelRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lpg: Option<LpgRule>,
    /// Fee for a toilet cassette that comes back worse than empty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cassette: Option<FlatRule>,
    /// Fee for waste water that comes back undrained.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_water: Option<FlatRule>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cleanliness: Vec<CleanlinessRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inventory: Option<InventoryRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub damage: Option<DamageRule>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repair: Option<RepairRule>,
}

/// Excess distance. `allowance_per_day` left out means unlimited.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DistanceRule {
    pub unit: DistanceUnit,
    /// Distance included for each hire day, in `unit`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowance_per_day: Option<Exact>,
    /// Price of one `unit` beyond the allowance.
    pub rate: Money,
    pub tax: Tax,
}

/// Late return.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LatenessRule {
    /// Up to and including this nothing is due.
    pub grace_minutes: u32,
    /// Price of each begun hour.
    pub hourly: Money,
    /// Most that 24 elapsed hours cost.
    pub daily: Money,
    pub tax: Tax,
}

/// Missing fuel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FuelRule {
    pub per_litre: Money,
    /// Charged once, when a shortfall is.
    pub refuelling_fee: Money,
    pub tax: Tax,
}

/// Gas used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LpgRule {
    pub charge: LpgCharge,
    pub tax: Tax,
}

/// What gas costs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum LpgCharge {
    Included,
    PerKilogram {
        price: Money,
    },
    /// A flat refill when what is left is below a share of the net fill (`"0.25"` is a quarter).
    RefillBelow {
        share: Exact,
        price: Money,
    },
}

/// A flat fee.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FlatRule {
    pub fee: Money,
    pub tax: Tax,
}

/// Grades of cleanliness for one area, best first, and the fee for each step down.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CleanlinessRule {
    pub area: Area,
    pub grades: Vec<Grade>,
    pub fee_per_step: Money,
    pub tax: Tax,
}

/// A named grade of cleanliness.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    pub key: Key,
    pub title: Text,
}

/// Missing kit, at its value on the day of return.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InventoryRule {
    pub items: Vec<ItemPrice>,
    pub tax: Tax,
}

/// What a piece of kit cost and how it loses value: `price x max(floor, 1 - age / service life)`, whole months.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemPrice {
    /// Inventory item of the template, or `keys`.
    pub item: Key,
    /// New, one piece.
    pub price: Money,
    pub service_life_months: u32,
    /// Share of the price below which its value never falls (`"0.2"` is a fifth).
    pub floor: Exact,
}

/// Damage: panel group x kind x size band.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DamageRule {
    /// In order of size; the last has no upper end.
    pub size_bands: Vec<SizeBand>,
    /// Per kind, the size up to and including which nothing is due.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fair_wear: Vec<FairWear>,
    pub prices: Vec<DamagePrice>,
    /// Most that several marks on one panel of a group cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub refinish: Vec<RefinishPrice>,
    pub tax: Tax,
}

/// A band of sizes, up to and including its upper end.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeBand {
    pub key: Key,
    /// Left out on the last band only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to_mm: Option<u32>,
}

/// A size of one kind of damage that counts as wear.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FairWear {
    pub kind: Key,
    pub up_to_mm: u32,
}

/// The price of one kind and size of damage on one group of panels.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DamagePrice {
    pub group: Key,
    pub kind: Key,
    pub band: Key,
    pub price: Price,
}

/// A flat amount, or open until somebody has estimated it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Price {
    Flat(Money),
    Estimate,
}

/// The price of refinishing a whole panel of a group.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RefinishPrice {
    pub group: Key,
    pub price: Money,
}

/// Repairs of things that were in order at departure.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepairRule {
    pub items: Vec<RepairPrice>,
    pub tax: Tax,
}

/// The price of putting one checkpoint's thing right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepairPrice {
    pub checkpoint: Key,
    pub price: Price,
}
