//! Tariffs of the demonstration: one in pounds with every kind of rule, one in euros.

use super::Demo;
use handsel_domain::exact::Exact;
use handsel_domain::ids::TariffId;
use handsel_domain::money::{Currency, Money};
use handsel_domain::tariff::{
    CleanlinessRule, DamagePrice, DamageRule, DistanceRule, FairWear, FlatRule, FuelRule, Grade, InventoryRule,
    ItemPrice, LatenessRule, LpgCharge, LpgRule, Price, RefinishPrice, RepairPrice, RepairRule, SizeBand, Tariff, Tax,
};
use handsel_domain::template::Area;
use handsel_domain::text::Text;
use handsel_domain::units::DistanceUnit;

/// (panel group, kind, prices small / medium / large); none where an estimate is needed.
const DAMAGE: [(&str, &str, [Option<i64>; 3]); 20] = [
    ("bodywork", "scratch", [Some(12_000), Some(21_000), Some(38_000)]),
    ("bodywork", "dent", [Some(18_000), Some(32_000), Some(58_000)]),
    ("bodywork", "crack", [Some(22_000), Some(41_000), None]),
    ("bodywork", "missing", [None, None, None]),
    ("bodywork", "bent", [Some(15_000), Some(29_000), None]),
    ("glass", "chip", [Some(6_500), Some(9_500), Some(54_000)]),
    ("glass", "crack", [Some(32_000), Some(54_000), Some(54_000)]),
    ("glass", "scratch", [Some(9_000), Some(26_000), Some(54_000)]),
    ("roof", "dent", [Some(24_000), Some(52_000), None]),
    ("roof", "scratch", [Some(16_000), Some(33_000), Some(61_000)]),
    ("roof", "missing", [Some(31_000), Some(31_000), Some(31_000)]),
    ("awning", "bent", [Some(26_000), Some(48_000), None]),
    ("awning", "tear", [Some(14_000), Some(39_000), Some(64_000)]),
    ("furniture", "scratch", [Some(5_500), Some(9_000), Some(15_500)]),
    ("furniture", "burn", [Some(11_000), Some(19_500), Some(34_000)]),
    ("upholstery", "stain", [Some(4_500), Some(8_500), Some(16_000)]),
    ("upholstery", "tear", [Some(7_500), Some(15_500), Some(29_500)]),
    ("appliance", "shattered", [Some(26_500), Some(26_500), Some(26_500)]),
    ("appliance", "split", [None, None, None]),
    ("wheels", "scratch", [Some(4_000), Some(8_000), Some(12_500)]),
];

const KIT: [(&str, i64, u32); 18] = [
    ("keys", 28_000, 120),
    ("mains_lead", 4_900, 60),
    ("mains_adaptor", 1_450, 60),
    ("hose", 3_250, 24),
    ("hose_adaptors", 650, 36),
    ("levelling_ramps", 2_450, 60),
    ("loose_step", 3_400, 48),
    ("crank_handle", 2_900, 96),
    ("cutlery_set", 2_800, 36),
    ("pans", 2_400, 48),
    ("bedding_set", 5_900, 24),
    ("outdoor_table", 6_900, 48),
    ("outdoor_chairs", 4_999, 36),
    ("gas_spanner", 900, 120),
    ("bulb_kit", 1_200, 60),
    ("triangle", 1_100, 96),
    ("fire_extinguisher", 3_600, 60),
    ("fire_blanket", 1_900, 60),
];

const REPAIRS: [(&str, Option<i64>); 6] = [
    ("water_heater_gas", None),
    ("water_heater_drain", Some(18_500)),
    ("toilet_blade", Some(9_800)),
    ("fly_screen", Some(14_500)),
    ("electric_step", None),
    ("reversing_camera", Some(21_000)),
];

fn grades() -> Vec<Grade> {
    [
        ("spotless", "spotless", "makellos"),
        ("lived_in", "lived in, swept", "benutzt, gefegt"),
        ("dirty", "dirty", "schmutzig"),
        ("filthy", "very dirty, smells or stains", "sehr schmutzig, Geruch oder Flecken"),
    ]
    .into_iter()
    .map(|(key, en, de)| Grade { key: key.into(), title: Text::both(en, de) })
    .collect()
}

/// A whole tariff in one currency; amounts keep their figures.
pub(super) fn tariff(demo: &Demo, name: &str, currency: Currency, unit: DistanceUnit, vat: i64) -> Tariff {
    let money = |minor| Money::new(minor, currency);
    let taxed = Tax::Standard { rate: Exact::whole(vat) };
    let (allowance, rate) = match unit {
        DistanceUnit::Mile => (Exact::whole(150), money(25)),
        DistanceUnit::Km => (Exact::whole(250), money(35)),
    };
    let bands = ["small", "medium", "large"];
    let prices = DAMAGE.iter().flat_map(|(group, kind, each)| {
        bands.iter().zip(each).map(|(band, price)| DamagePrice {
            group: (*group).into(),
            kind: (*kind).into(),
            band: (*band).into(),
            price: price.map_or(Price::Estimate, |minor| Price::Flat(money(minor))),
        })
    });
    Tariff {
        id: TariffId(demo.id()),
        name: name.to_owned(),
        version: 1,
        currency,
        distance: Some(DistanceRule { unit, allowance_per_day: Some(allowance), rate, tax: taxed }),
        lateness: Some(LatenessRule { grace_minutes: 30, hourly: money(2_000), daily: money(15_000), tax: taxed }),
        fuel: Some(FuelRule { per_litre: money(189), refuelling_fee: money(2_500), tax: taxed }),
        lpg: Some(LpgRule { charge: LpgCharge::PerKilogram { price: money(350) }, tax: taxed }),
        cassette: Some(FlatRule { fee: money(7_500), tax: taxed }),
        waste_water: Some(FlatRule { fee: money(3_000), tax: taxed }),
        cleanliness: vec![
            CleanlinessRule { area: Area::Inside, grades: grades(), fee_per_step: money(4_500), tax: taxed },
            CleanlinessRule { area: Area::Outside, grades: grades(), fee_per_step: money(2_500), tax: taxed },
        ],
        inventory: Some(InventoryRule {
            items: KIT
                .into_iter()
                .map(|(item, price, months)| ItemPrice {
                    item: item.into(),
                    price: money(price),
                    service_life_months: months,
                    floor: Exact::scaled(2, 1),
                })
                .collect(),
            tax: Tax::OutsideScope,
        }),
        damage: Some(DamageRule {
            size_bands: vec![
                SizeBand { key: "small".into(), up_to_mm: Some(50) },
                SizeBand { key: "medium".into(), up_to_mm: Some(150) },
                SizeBand { key: "large".into(), up_to_mm: None },
            ],
            fair_wear: vec![
                FairWear { kind: "scratch".into(), up_to_mm: 20 },
                FairWear { kind: "dent".into(), up_to_mm: 10 },
                FairWear { kind: "chip".into(), up_to_mm: 3 },
                FairWear { kind: "stain".into(), up_to_mm: 15 },
            ],
            prices: prices.collect(),
            refinish: vec![
                RefinishPrice { group: "bodywork".into(), price: money(72_000) },
                RefinishPrice { group: "furniture".into(), price: money(42_000) },
            ],
            tax: Tax::OutsideScope,
        }),
        repair: Some(RepairRule {
            items: REPAIRS
                .into_iter()
                .map(|(checkpoint, price)| RepairPrice {
                    checkpoint: checkpoint.into(),
                    price: price.map_or(Price::Estimate, |minor| Price::Flat(money(minor))),
                })
                .collect(),
            tax: Tax::OutsideScope,
        }),
    }
}
