//! A second program for the same rules, in another language and sharing no code (reckon.mjs, run by Node), comes to the same
//! figures on thousands of made-up cases.

use handsel_domain::case_check;
use handsel_domain::comparison::compare;
use handsel_domain::text::Lang;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const CASES: u32 = 2_000;

/// A small generator of repeatable numbers (the minimal standard one of Park and Miller), so that a failing case can
/// be met again by its number.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % end
    }

    fn pick<'a>(&mut self, from: &[&'a str]) -> &'a str {
        let n = usize::try_from(self.below(u64::try_from(from.len()).unwrap())).unwrap();
        from[n]
    }

    fn chance(&mut self, in_hundred: u64) -> bool {
        self.below(100) < in_hundred
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

fn level(n: &mut Numbers) -> Value {
    if n.chance(70) {
        let of = 1 + n.below(12);
        json!({"gauge": {"part": n.below(of + 1), "of": of}})
    } else {
        json!({"percent": {"value": n.below(101).to_string(), "half_width": format!("{}.5", n.below(6))}})
    }
}

fn cylinder(n: &mut Numbers) -> Value {
    let tare = 70 + n.below(40);
    let gas = n.below(63);
    let text = |tenths: u64| format!("{}.{}", tenths / 10, tenths % 10);
    json!({"kind": "cylinder", "gross_kg": text(tare + gas), "tare_kg": text(tare), "net_fill_kg": "6",
           "half_width_kg": format!("0.{:02}", n.below(30))})
}

fn answer(n: &mut Numbers, leg: &str, key: &str) -> Value {
    match key {
        "odometer" => {
            let base = if leg == "departure" { 10_000 } else { 10_000 + n.below(4_000) };
            json!({"kind": "odometer", "value": format!("{base}.{}", n.below(10) * u64::from(leg == "return")), "unit": "mile"})
        }
        "fuel_level" => json!({"kind": "fuel", "level": level(n)}),
        "cylinder_1" | "cylinder_2" => cylinder(n),
        "waste" => json!({"kind": "water", "level": level(n), "drained": n.chance(60)}),
        "cassette" => {
            json!({"kind": "cassette", "state": n.pick(&["empty_rinsed", "empty", "part_full", "full"]), "dosed": n.chance(50)})
        }
        "keys" => json!({"kind": "keys", "pieces": n.below(4)}),
        "clean_inside" => json!({"kind": "cleanliness", "grade": n.pick(&["spotless", "lived_in", "dirty", "filthy"])}),
        "water_heater" => {
            json!({"kind": "condition", "state": n.pick(&["in_order", "in_order", "needs_attention", "missing", "not_checked"])})
        }
        _ => json!({"kind": "count", "pieces": n.below(6)}),
    }
}

fn id(group: u64, number: u64) -> String {
    format!("0199{group:04x}-0000-7000-8000-{number:012x}")
}

fn mark(n: &mut Numbers, number: u64) -> Value {
    let (panel, viewpoint) =
        [("nearside_wall", "nearside_front"), ("rear_wall", "rear"), ("roof_front", "front"), ("windscreen", "front")]
            [usize::try_from(n.below(4)).unwrap()];
    json!({"id": id(90, number), "panel": panel, "kind": n.pick(&["scratch", "dent", "chip", "crack"]), "size_mm": 1 + n.below(260),
           "depth": "surface", "viewpoint": viewpoint, "x": "0.5", "y": "0.5", "photos": [], "first_seen": id(9, 1)})
}

/// A made-up case, from the base of the worked ones.
fn case(base: &Value, seed: u32) -> Value {
    let mut n = Numbers(u64::from(seed) * 7_919 + 1);
    let mut case = base.clone();
    // No topic is due, so that nothing is held for review: what holding does has its own worked cases.
    case["template"]["briefings"] = json!([]);
    case["departure"]["briefings"] = json!([]);
    let keys = [
        "odometer",
        "fuel_level",
        "cylinder_1",
        "cylinder_2",
        "waste",
        "cassette",
        "keys",
        "clean_inside",
        "water_heater",
        "outdoor_chairs",
        "hose",
        "mains_lead",
    ];
    for (group, leg) in [(70, "departure"), (80, "return")] {
        let mut entries = Vec::new();
        for (number, key) in (0_u64..).zip(keys) {
            if n.chance(93) {
                entries.push(json!({"id": id(group, number), "checkpoint": key, "answer": answer(&mut n, leg, key),
                                    "recorded_at": "2026-06-06T12:30:00Z"}));
            }
        }
        case[leg]["entries"] = Value::Array(entries);
    }
    let day = |n: &mut Numbers, year: u64| {
        format!("{year}-{:02}-{:02}T{:02}:{:02}:00Z", 1 + n.below(12), 1 + n.below(28), n.below(24), n.below(60))
    };
    case["depot"]["zone"] = json!(n.pick(&["Europe/London", "Europe/Berlin", "Pacific/Auckland", "America/St_Johns"]));
    case["hire"]["agreed_departure"] = json!(day(&mut n, 2026));
    let agreed = day(&mut n, 2027);
    case["return"]["handed_over_at"] =
        json!(format!("{}{:02}:{:02}:{:02}Z", &agreed[..11], n.below(24), n.below(60), n.below(60)));
    case["hire"]["agreed_return"] = json!(agreed);
    case["hire"]["excess"]["minor"] = json!(n.below(150_000));
    if n.chance(30) {
        case["hire"]["outside_excess"] =
            json!({"groups": [n.pick(&["roof", "glass"])], "kinds": [n.pick(&["chip", "dent"])]});
    }
    case["vehicle"]["tank_litres"] = json!(format!("{}.{}", 50 + n.below(60), n.below(10)));
    case["vehicle"]["kit"] = json!([{"item": "outdoor_chairs", "acquired": day(&mut n, 2024)[..10]}, {"item": "keys", "acquired": day(&mut n, 2025)[..10]}]);
    case["tariff"]["fuel"]["per_litre"]["minor"] = json!(n.below(400));
    match n.below(3) {
        0 => {
            case["tariff"]["lpg"]["charge"] = json!({"by": "refill_below", "share": format!("0.{}", 1 + n.below(9)), "price": {"minor": 3200, "currency": "GBP"}})
        }
        1 => {
            case["tariff"]["distance"] = json!({"unit": "km", "allowance_per_day": "5.5", "rate": {"minor": 33, "currency": "GBP"}, "tax": {"treatment": "zero"}})
        }
        _ => {}
    }
    if n.chance(20) {
        case["departure"]["signatures"] = json!([]);
        case["departure"]["photos"] = json!([]);
    }
    let marks: Vec<Value> = (0..n.below(7)).map(|i| mark(&mut n, i)).collect();
    let register: Vec<Value> = (0..n.below(4)).map(|i| mark(&mut n, 100 + i)).collect();
    let sightings: Vec<Value> =
        register.iter().map(|m| json!({"mark": m["id"], "size_mm": 1 + n.below(300), "photos": []})).collect();
    case["return"]["marks"] = Value::Array(marks);
    case["return"]["sightings"] = Value::Array(sightings);
    case["register"] = Value::Array(register);
    case
}

fn other_reckoning(lines: &str) -> Vec<BTreeMap<String, i64>> {
    let mut node = Command::new("node")
        .arg(folder().join("reference/reckon.mjs"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("Node cannot be run: {e}"));
    let mut input = node.stdin.take().unwrap();
    let text = lines.to_owned();
    let writer = std::thread::spawn(move || input.write_all(text.as_bytes()));
    let output = node.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    assert!(output.status.success(), "the second program failed");
    String::from_utf8(output.stdout).unwrap().lines().map(|l| serde_json::from_str(l).unwrap()).collect()
}

#[test]
fn a_second_program_comes_to_the_same_figures() {
    let base = folder().join("../fixtures/cases/01_clean_return.case.json");
    let base: Value = serde_json::from_slice(&std::fs::read(base).unwrap()).unwrap();
    let documents: Vec<Value> = (0..CASES).map(|seed| case(&base, seed)).collect();
    let mut lines = String::new();
    let mut ours = Vec::new();
    let mut kinds: BTreeMap<String, u32> = BTreeMap::new();
    for (seed, document) in documents.iter().enumerate() {
        let text = document.to_string();
        let parsed = case_check::parse(text.as_bytes()).unwrap_or_else(|e| panic!("case {seed}: {e}"));
        let comparison = compare(&parsed, Lang::En).unwrap_or_else(|e| panic!("case {seed}: {e:?}"));
        for line in &comparison.lines {
            *kinds.entry(format!("{:?}", line.rule)).or_default() += 1;
        }
        ours.push(comparison.lines.iter().map(|l| (l.key.clone(), l.if_charged.minor)).collect::<BTreeMap<_, _>>());
        lines.push_str(&text);
        lines.push('\n');
    }
    let theirs = other_reckoning(&lines);
    assert_eq!(ours.len(), theirs.len());
    for (seed, (a, b)) in ours.iter().zip(&theirs).enumerate() {
        assert_eq!(a, b, "case {seed}: the product on the left, the second program on the right");
    }
    // Every kind of line came up, so that agreeing means something.
    assert_eq!(kinds.len(), 10, "{kinds:?}");
    assert!(kinds.values().all(|count| *count > 50), "{kinds:?}");
}
