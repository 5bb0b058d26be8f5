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
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
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

/// Something to put right in a tariff.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct TariffProblem {
    /// Where, such as `fuel.per_litre`.
    pub at: String,
    pub advice: String,
}

impl Tariff {
    /// Everything in a tariff that cannot be reckoned with.
    #[must_use]
    pub fn problems(&self) -> Vec<TariffProblem> {
        let mut found = Vec::new();
        self.prices(&mut |at, price| {
            if price.currency != self.currency {
                let advice = format!("is not in the tariff's currency {}", self.currency.code());
                found.push(TariffProblem { at: at.to_owned(), advice });
            } else if price.is_negative() {
                found.push(TariffProblem { at: at.to_owned(), advice: "a price cannot be negative".into() });
            }
        });
        self.rates(&mut |at, tax| {
            if let Tax::Standard { rate } = tax
                && (rate.is_negative() || rate > Exact::whole(100))
            {
                let advice = "a tax rate lies between 0 and 100 per cent".to_owned();
                found.push(TariffProblem { at: format!("{at}.tax.rate"), advice });
            }
        });
        self.shapes(&mut found);
        found
    }

    /// Visits every price with its place.
    fn prices(&self, see: &mut impl FnMut(&str, Money)) {
        if let Some(r) = &self.distance {
            see("distance.rate", r.rate);
        }
        if let Some(r) = &self.lateness {
            see("lateness.hourly", r.hourly);
            see("lateness.daily", r.daily);
        }
        if let Some(r) = &self.fuel {
            see("fuel.per_litre", r.per_litre);
            see("fuel.refuelling_fee", r.refuelling_fee);
        }
        match self.lpg.as_ref().map(|r| r.charge) {
            Some(LpgCharge::PerKilogram { price } | LpgCharge::RefillBelow { price, .. }) => {
                see("lpg.charge.price", price);
            }
            Some(LpgCharge::Included) | None => {}
        }
        if let Some(r) = &self.cassette {
            see("cassette.fee", r.fee);
        }
        if let Some(r) = &self.waste_water {
            see("waste_water.fee", r.fee);
        }
        for (i, r) in self.cleanliness.iter().enumerate() {
            see(&format!("cleanliness[{i}].fee_per_step"), r.fee_per_step);
        }
        for (i, item) in self.inventory.iter().flat_map(|r| r.items.iter().enumerate()) {
            see(&format!("inventory.items[{i}].price"), item.price);
        }
        if let Some(r) = &self.damage {
            for (i, p) in r.prices.iter().enumerate() {
                if let Price::Flat(money) = p.price {
                    see(&format!("damage.prices[{i}].price"), money);
                }
            }
            for (i, p) in r.refinish.iter().enumerate() {
                see(&format!("damage.refinish[{i}].price"), p.price);
            }
        }
        for (i, item) in self.repair.iter().flat_map(|r| r.items.iter().enumerate()) {
            if let Price::Flat(money) = item.price {
                see(&format!("repair.items[{i}].price"), money);
            }
        }
    }

    /// Visits every tax treatment with its place.
    fn rates(&self, see: &mut impl FnMut(&str, Tax)) {
        let single = [
            ("distance", self.distance.as_ref().map(|r| r.tax)),
            ("lateness", self.lateness.as_ref().map(|r| r.tax)),
            ("fuel", self.fuel.as_ref().map(|r| r.tax)),
            ("lpg", self.lpg.as_ref().map(|r| r.tax)),
            ("cassette", self.cassette.as_ref().map(|r| r.tax)),
            ("waste_water", self.waste_water.as_ref().map(|r| r.tax)),
            ("inventory", self.inventory.as_ref().map(|r| r.tax)),
            ("damage", self.damage.as_ref().map(|r| r.tax)),
            ("repair", self.repair.as_ref().map(|r| r.tax)),
        ];
        for (at, tax) in single {
            if let Some(tax) = tax {
                see(at, tax);
            }
        }
        for (i, r) in self.cleanliness.iter().enumerate() {
            see(&format!("cleanliness[{i}]"), r.tax);
        }
    }

    /// Shapes that would make a rule ambiguous.
    fn shapes(&self, found: &mut Vec<TariffProblem>) {
        let mut add = |at: String, advice: &str| found.push(TariffProblem { at, advice: advice.to_owned() });
        if let Some(rule) = &self.damage {
            let open: Vec<bool> = rule.size_bands.iter().map(|b| b.up_to_mm.is_none()).collect();
            if open.last() != Some(&true) || open.iter().filter(|o| **o).count() != 1 {
                add("damage.size_bands".into(), "the last band, and only it, has no upper end");
            }
            let ends: Vec<u32> = rule.size_bands.iter().filter_map(|b| b.up_to_mm).collect();
            if !ends.is_sorted_by(|a, b| a < b) {
                add("damage.size_bands".into(), "bands go from small to large");
            }
            for (i, price) in rule.prices.iter().enumerate() {
                if !rule.size_bands.iter().any(|b| b.key == price.band) {
                    add(format!("damage.prices[{i}].band"), "is not one of the size bands");
                }
                let same = |p: &DamagePrice| p.group == price.group && p.kind == price.kind && p.band == price.band;
                if rule.prices.iter().take(i).any(same) {
                    add(format!("damage.prices[{i}]"), "this panel group, kind and band already has a price");
                }
            }
        }
        for (i, rule) in self.cleanliness.iter().enumerate() {
            if rule.grades.len() < 2 {
                add(format!("cleanliness[{i}].grades"), "names at least two grades, best first");
            }
            if self.cleanliness.iter().take(i).any(|r| r.area == rule.area) {
                add(format!("cleanliness[{i}].area"), "this area already has grades");
            }
        }
        for (i, item) in self.inventory.iter().flat_map(|r| r.items.iter().enumerate()) {
            if item.floor.is_negative() || item.floor > Exact::ONE {
                add(format!("inventory.items[{i}].floor"), "is a share between 0 and 1");
            }
        }
        if let Some(LpgCharge::RefillBelow { share, .. }) = self.lpg.as_ref().map(|r| r.charge)
            && (share.is_negative() || share > Exact::ONE)
        {
            add("lpg.charge.share".into(), "is a share of the net fill between 0 and 1");
        }
        if let Some(per_day) = self.distance.as_ref().and_then(|r| r.allowance_per_day)
            && per_day.is_negative()
        {
            add("distance.allowance_per_day".into(), "cannot be negative; leave it out for unlimited");
        }
    }
}
