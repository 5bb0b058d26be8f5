//! Documents as clients send them, small enough to reckon with by hand.

use serde_json::{Value, json};

/// A drawn signature.
pub const SIGNATURE: &str = "[[[0.1,0.5],[0.4,0.2],[0.9,0.6]],[[0.5,0.5]]]";

#[must_use]
pub fn money(minor: i64) -> Value {
    json!({"minor": minor, "currency": "GBP"})
}

fn words(en: &str, de: &str) -> Value {
    json!({"en": en, "de": de})
}

#[must_use]
pub fn depot(id: &str, name: &str, zone: &str) -> Value {
    json!({"id": id, "name": name, "zone": zone, "address": "2 Example Yard", "phone": "01632 960101"})
}

#[must_use]
pub fn staff(id: &str, name: &str, role: &str, depot: Option<&str>) -> Value {
    json!({
        "id": id, "email": format!("{name}@fernway.example"), "name": name, "role": role, "depot": depot,
        "password": crate::PASSWORD,
    })
}

fn checkpoint(key: &str, ask: &Value, needs: &[&str]) -> Value {
    json!({
        "key": key, "system": key, "title": words(key, key), "guidance": words("Look.", "Schau."),
        "ask": ask, "needs": needs,
    })
}

/// A walk-round of one stop: odometer, fuel, the hob's glass lid, cleanliness, a hose, one critical topic about the
/// lid and one about fuel that is not.
#[must_use]
pub fn template(id: &str) -> Value {
    json!({
        "id": id, "layout": "fern", "version": 1, "title": words("Fern", "Farn"),
        "equipment": [{"key": "hob", "title": words("Hob", "Kocher")}],
        "panels": [
            {"key": "side_left", "title": words("Left side", "Linke Seite"), "group": "bodywork"},
            {"key": "roof", "title": words("Roof", "Dach"), "group": "bodywork"},
        ],
        "stops": [{
            "key": "round", "title": words("Round", "Runde"), "guidance": words("Walk.", "Geh."),
            "viewpoints": [{
                "key": "left", "title": words("Left", "Links"), "guidance": words("Stand back.", "Zurücktreten."),
                "panels": ["side_left"],
            }],
            "checkpoints": [
                checkpoint("odometer", &json!({"kind": "odometer"}), &[]),
                checkpoint("fuel", &json!({"kind": "fuel"}), &[]),
                checkpoint("hob_lid", &json!({"kind": "condition"}), &["hob"]),
                checkpoint("clean_inside", &json!({"kind": "cleanliness", "area": "inside"}), &[]),
            ],
            "inventory": [{"key": "hose", "title": words("Hose", "Schlauch"), "pieces": 1}],
        }],
        "briefings": [
            {
                "key": "lid", "title": words("The glass lid", "Der Glasdeckel"),
                "body": [words("Cool it before closing.", "Vor dem Schließen abkühlen lassen.")],
                "caution": words("Hot. The maker's handbook goes first.", "Heiß. Das Handbuch geht vor."),
                "critical": true, "due": {"when": "equipment", "key": "hob"},
                "bears_on": [{"on": "checkpoint", "checkpoint": "hob_lid"}],
            },
            {
                "key": "fill_up", "title": words("Fill up", "Volltanken"),
                "body": [words("Bring it back full.", "Voll zurückbringen.")],
                "due": {"when": "always"}, "bears_on": [],
            },
        ],
    })
}

/// 200 km a day, then 0.30 a km; 2.00 a litre and 15.00 to refuel; 120.00 for the lid; damage to bodywork by size.
#[must_use]
pub fn tariff(id: &str) -> Value {
    let tax = json!({"treatment": "standard", "rate": "20"});
    let outside = json!({"treatment": "outside_scope"});
    json!({
        "id": id, "name": "Summer", "version": 1, "currency": "GBP",
        "distance": {"unit": "km", "allowance_per_day": "200", "rate": money(30), "tax": tax},
        "lateness": {"grace_minutes": 60, "hourly": money(2500), "daily": money(20_000), "tax": tax},
        "fuel": {"per_litre": money(200), "refuelling_fee": money(1500), "tax": tax},
        "cleanliness": [{
            "area": "inside", "fee_per_step": money(4000), "tax": tax,
            "grades": [
                {"key": "clean", "title": words("Clean", "Sauber")},
                {"key": "dirty", "title": words("Dirty", "Schmutzig")},
            ],
        }],
        "damage": {
            "size_bands": [{"key": "small", "up_to_mm": 50}, {"key": "large"}],
            "fair_wear": [{"kind": "scratch", "up_to_mm": 10}],
            "prices": [
                {"group": "bodywork", "kind": "scratch", "band": "small", "price": {"flat": money(8000)}},
                {"group": "bodywork", "kind": "scratch", "band": "large", "price": {"flat": money(20_000)}},
            ],
            "tax": outside,
        },
        "repair": {"items": [{"checkpoint": "hob_lid", "price": {"flat": money(12_000)}}], "tax": outside},
    })
}

#[must_use]
pub fn vehicle(id: &str, registration: &str, depot: &str, template: &str, tariff: &str) -> Value {
    json!({
        "id": id, "name": "Bracken", "registration": registration, "depot": depot, "template": template,
        "tariff": tariff, "equipment": ["hob"],
        "figures": {"height_mm": 2900, "width_mm": 2300, "length_mm": 7200, "max_mass_kg": 3500},
        "tank_litres": "80", "odometer_unit": "km", "fuel_gauge_divisions": 8,
        "mains_appliances": [{"name": "Kettle", "watts": 2000}],
    })
}

/// Seven days from Saturday, 28 March 2026, 14:00 in London, over the clock change.
#[must_use]
pub fn hire(id: &str, reference: &str, depot: &str, vehicle: &str) -> Value {
    json!({
        "id": id, "reference": reference, "depot": depot, "vehicle": vehicle,
        "agreed_departure": "2026-03-28T14:00:00Z", "agreed_return": "2026-04-04T13:00:00Z",
        "excess": money(100_000), "deposit": money(100_000), "deposit_means": "card",
        "drivers": [{
            "id": crate::id(), "name": "Kim Hirer", "email": "kim@hirer.example", "phone": "01632 960102", "lead": true,
        }],
    })
}
