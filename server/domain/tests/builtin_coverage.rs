//! The built-in walk-round leaves nothing out, and the template check finds what it says it finds.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at the first surprise")]

use handsel_domain::briefing::When;
use handsel_domain::builtin;
use handsel_domain::ids::TemplateId;
use handsel_domain::tariff::RuleKind;
use handsel_domain::template::{Area, Ask, Bearing, Key, Legs, PhotoNeed, Template, WaterTank};
use handsel_domain::template_check::TemplateProblemKind as Kind;
use handsel_domain::text::{Lang, Text};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use uuid::Uuid;

const COVERAGE: &str = include_str!("../../../fixtures/walkround/coverage.csv");

/// Topics the hirer must acknowledge one by one.
const CRITICAL: [&str; 13] = [
    "gas_use",
    "no_hob_heating",
    "flue_cover",
    "hook_up",
    "hob_oven",
    "water",
    "frost",
    "before_driving",
    "size",
    "awning",
    "seats_belts",
    "emergency",
    "accident",
];

/// Systems where gas, flame, exhaust gas, mains electricity, batteries, lifting or driving is involved.
const CAUTIOUS_SYSTEMS: [&str; 68] = [
    // gas, flame, exhaust gas, carbon monoxide
    "gas_locker",
    "gas_cylinders",
    "gas_regulator",
    "gas_hose_date",
    "gas_isolators",
    "water_heater",
    "water_heater_flue",
    "water_heater_drain",
    "flue_cover",
    "room_heater",
    "blown_air_vents",
    "fridge_vents",
    "winter_covers",
    "fridge_changeover",
    "hob",
    "hob_lid",
    "grill",
    "oven",
    "window_by_flue",
    "co_alarm",
    "smoke_alarm",
    "fire_extinguisher",
    "fire_blanket",
    "exhaust",
    "fuel_filler",
    // mains and batteries
    "mains_inlet",
    "mains_lead",
    "outside_socket",
    "consumer_unit",
    "rcd",
    "breakers",
    "battery_charger",
    "fuses_12v",
    "leisure_battery_locker",
    "leisure_battery",
    "starter_battery",
    "starter_battery_access",
    "jump_start_points",
    "solar_panels",
    // lifting, climbing, working under the vehicle or at the engine
    "jack_and_wheel_tools",
    "spare_wheel_release",
    "spare_carrier",
    "tanks",
    "bicycle_rack",
    "ladder",
    "roof",
    "bed_bases",
    "bonnet_release",
    "engine_oil",
    "coolant",
    "brake_fluid",
    // driving
    "wheels",
    "tyre_damage",
    "tyre_pressure",
    "repair_kit",
    "warning_lights",
    "beam_height",
    "reverse_gear_lock",
    "reversing_camera",
    "mirrors",
    "swivel_seats",
    "cab_belts",
    "travelling_belts",
    "vehicle_figures",
    "roof_light_locked",
    "electric_step",
    "tow_bar",
    "awning",
];

/// Topics of the same sort.
const CAUTIOUS_TOPICS: [&str; 18] = [
    "gas_use",
    "no_hob_heating",
    "flue_cover",
    "hook_up",
    "fridge",
    "hob_oven",
    "water",
    "frost",
    "before_driving",
    "size",
    "awning",
    "bicycle_rack",
    "seats_belts",
    "tyres_breakdown",
    "emergency",
    "accident",
    "first_time_layout",
    "trailer",
];

/// How every caution ends.
const DEFERRAL: [(Lang, &str); 2] = [
    (Lang::En, "The maker's handbook and local rules come first; repairs and adjustments are for a qualified person."),
    (
        Lang::De,
        "Die Herstelleranleitung und die örtlichen Vorschriften gehen vor; Reparaturen und Einstellungen sind Sache einer Fachkraft.",
    ),
];

/// Places to photograph that other parts rely on.
const VIEWPOINTS: [&str; 13] = [
    "nearside_front",
    "nearside_rear",
    "rear",
    "offside_rear",
    "offside_front",
    "front",
    "roof",
    "cab_dash",
    "living_area",
    "kitchen",
    "washroom",
    "gas_locker",
    "windscreen",
];

const PANEL_GROUPS: [&str; 10] =
    ["bodywork", "glass", "roof", "underside", "awning", "furniture", "appliance", "upholstery", "wheels", "seals"];

const DAMAGE_KINDS: [&str; 11] =
    ["scratch", "dent", "crack", "chip", "tear", "burn", "stain", "missing", "shattered", "bent", "split"];

fn built_in() -> Template {
    builtin::template(TemplateId(Uuid::nil()), "any_layout", 1, Text::both("Walk-round", "Rundgang")).unwrap()
}

/// The rows of one kind: keys with what each means.
fn rows(kind: &str) -> BTreeMap<&'static str, &'static str> {
    let mut rows = BTreeMap::new();
    for line in COVERAGE.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), 3, "a row has three cells: {line}");
        if cells[0] == kind {
            assert_eq!(rows.insert(cells[1], cells[2]), None, "listed twice: {line}");
        }
    }
    assert!(!rows.is_empty(), "no rows of kind {kind}");
    rows
}

/// What the list has and the template lacks, and what the template has and the list lacks, as lines to read.
fn differences(kind: &str, there: &BTreeSet<&str>) -> Vec<String> {
    let rows = rows(kind);
    let missing =
        rows.iter().filter(|(key, _)| !there.contains(*key)).map(|(key, m)| format!("missing {kind} {key}: {m}"));
    let unlisted =
        there.iter().filter(|key| !rows.contains_key(*key)).map(|key| format!("{kind} {key} is not in coverage.csv"));
    missing.chain(unlisted).collect()
}

#[test]
fn every_kind_of_row_is_known() {
    let kinds: BTreeSet<&str> = COVERAGE.lines().skip(1).filter_map(|l| l.split(',').next()).collect();
    assert_eq!(kinds, BTreeSet::from(["briefing", "item", "reading", "system"]));
    assert_eq!(COVERAGE.lines().next(), Some("kind,key,meaning"));
}

#[test]
fn nothing_on_the_list_is_missing() {
    let template = built_in();
    let checkpoints: Vec<_> = template.stops.iter().flat_map(|s| &s.checkpoints).collect();
    let systems: BTreeSet<&str> = checkpoints.iter().map(|c| c.system.as_str()).collect();
    let readings: BTreeSet<&str> =
        checkpoints.iter().filter(|c| c.ask != Ask::Condition).map(|c| c.key.as_str()).collect();
    let briefings: BTreeSet<&str> = template.briefings.iter().map(|b| b.key.as_str()).collect();
    let items: BTreeSet<&str> = template.stops.iter().flat_map(|s| &s.inventory).map(|i| i.key.as_str()).collect();

    let differences: Vec<String> =
        [("system", &systems), ("reading", &readings), ("briefing", &briefings), ("item", &items)]
            .iter()
            .flat_map(|(kind, there)| differences(kind, there))
            .collect();
    assert!(differences.is_empty(), "\n{}", differences.join("\n"));
}

#[test]
fn readings_ask_for_what_they_are_named_after() {
    let template = built_in();
    let ask = |key: &str| template.checkpoint(key).unwrap().ask.clone();
    assert_eq!(ask("odometer"), Ask::Odometer);
    assert_eq!(ask("fuel"), Ask::Fuel);
    assert_eq!(ask("cylinder_1"), Ask::Cylinder { slot: "1".into() });
    assert_eq!(ask("cylinder_2"), Ask::Cylinder { slot: "2".into() });
    assert_eq!(ask("leisure_battery"), Ask::LeisureBattery);
    assert_eq!(ask("starter_battery"), Ask::StarterBattery);
    assert_eq!(ask("water_fresh"), Ask::Water { tank: WaterTank::Fresh });
    assert_eq!(ask("water_waste"), Ask::Water { tank: WaterTank::Waste });
    assert_eq!(ask("cassette"), Ask::Cassette);
    for wheel in ["front_nearside", "rear_nearside", "front_offside", "rear_offside"] {
        assert_eq!(ask(&format!("tread_{wheel}")), Ask::Tread { wheel: wheel.into() });
    }
    assert_eq!(ask("keys"), Ask::Keys);
    assert_eq!(ask("clean_inside"), Ask::Cleanliness { area: Area::Inside });
    assert_eq!(ask("clean_outside"), Ask::Cleanliness { area: Area::Outside });

    for key in rows("reading").keys() {
        assert_eq!(template.checkpoint(key).unwrap().leg, Legs::Both, "{key} is compared, so it is read twice");
    }
    for key in ["odometer", "fuel", "cylinder_1", "cylinder_2"] {
        assert_eq!(template.checkpoint(key).unwrap().photo, PhotoNeed::Required, "{key} charges people");
    }
    assert_eq!(template.checkpoint("cylinder_2").unwrap().needs, ["gas", "second_cylinder"]);
}

#[test]
fn critical_topics_are_the_agreed_ones() {
    let template = built_in();
    let critical: BTreeSet<&str> = template.briefings.iter().filter(|b| b.critical).map(|b| b.key.as_str()).collect();
    assert_eq!(critical, BTreeSet::from(CRITICAL));
}

#[test]
fn topics_are_due_when_agreed() {
    let template = built_in();
    let equipment = |key: &str| When::Equipment { key: key.into() };
    let mut expected: BTreeMap<&str, When> = BTreeMap::from([
        ("gas_use", equipment("gas")),
        ("flue_cover", equipment("gas_water_heater")),
        ("hook_up", equipment("mains")),
        ("fridge", equipment("absorption_fridge")),
        ("hob_oven", equipment("glass_lid_hob")),
        ("toilet", equipment("cassette_toilet")),
        (
            "frost",
            When::Any { of: vec![When::Months { months: vec![11, 12, 1, 2, 3] }, When::Trip { key: "alpine".into() }] },
        ),
        ("awning", equipment("awning")),
        ("bicycle_rack", equipment("bicycle_rack")),
        ("first_time_layout", When::NewToLayout),
        ("pets", When::Pets),
        ("trailer", When::All { of: vec![When::Trailer, equipment("tow_bar")] }),
    ]);
    for topic in &template.briefings {
        let due = expected.remove(topic.key.as_str()).unwrap_or(When::Always);
        assert_eq!(topic.due, due, "{}", topic.key);
        assert!((2..=5).contains(&topic.body.len()), "{} has {} paragraphs", topic.key, topic.body.len());
    }
    assert!(expected.is_empty(), "not in the template: {:?}", expected.keys());
}

#[test]
fn topics_bear_on_the_findings_they_prevent() {
    let template = built_in();
    let panel = |panel: &str, kind: &str| {
        let (panel, kind) = (panel.to_owned(), kind.to_owned());
        move |b: &Bearing| matches!(b, Bearing::Panel { panel: p, kinds } if *p == panel && (kinds.is_empty() || kinds.contains(&kind)))
    };
    let checkpoint = |key: &str| {
        let key = key.to_owned();
        move |b: &Bearing| matches!(b, Bearing::Checkpoint { checkpoint } if *checkpoint == key)
    };
    let bears = |topic: &str, on: &dyn Fn(&Bearing) -> bool| {
        assert!(template.topic(topic).unwrap().bears_on.iter().any(on), "{topic} lacks a bearing");
    };
    bears("hob_oven", &panel("hob_lid", "shattered"));
    bears("hob_oven", &panel("hob_lid", "crack"));
    bears("frost", &panel("water_heater", "split"));
    bears("frost", &checkpoint("water_heater_drain"));
    bears("frost", &checkpoint("kitchen_taps"));
    bears("frost", &checkpoint("washroom_taps"));
    bears("flue_cover", &panel("flue_cover", "missing"));
    bears("flue_cover", &panel("flue_cover", "burn"));
    bears("before_driving", &panel("roof_light", "missing"));
    bears("before_driving", &panel("nearside_window", "missing"));
    bears("before_driving", &panel("offside_window", "missing"));
    bears("before_driving", &panel("step", "bent"));
    bears("before_driving", &panel("mains_lead", "tear"));
    bears("hook_up", &panel("mains_lead", "burn"));
    bears("hook_up", &|b| *b == Bearing::Item { item: "mains_lead".into() });
    bears("size", &panel("roof_front", "dent"));
    bears("size", &panel("rear_wall", "dent"));
    bears("size", &panel("offside_wall", "scratch"));
    bears("awning", &panel("awning", "bent"));
    bears("bicycle_rack", &panel("bicycle_rack", "bent"));
    bears("seats_belts", &panel("cab_trim", "crack"));
    bears("doors_locks", &panel("fly_screen", "tear"));
    bears("toilet", &panel("toilet_seal", "tear"));
    bears("toilet", &|b| *b == Bearing::Rule { rule: RuleKind::Cassette });
    bears("water", &|b| *b == Bearing::Rule { rule: RuleKind::WasteWater });
    bears("water", &checkpoint("fuel_filler"));
    bears("twelve_volt", &checkpoint("leisure_battery"));
    bears("gas_use", &checkpoint("gas_regulator"));
    for rule in [
        RuleKind::Fuel,
        RuleKind::Lpg,
        RuleKind::Lateness,
        RuleKind::Cassette,
        RuleKind::WasteWater,
        RuleKind::Cleanliness,
        RuleKind::Inventory,
        RuleKind::Distance,
    ] {
        bears("return", &|b| *b == Bearing::Rule { rule });
    }

    for topic in &template.briefings {
        for bearing in &topic.bears_on {
            match bearing {
                Bearing::Checkpoint { checkpoint } => {
                    let leg = template.checkpoint(checkpoint).unwrap().leg;
                    assert_eq!(leg, Legs::Both, "{}: {checkpoint} is never compared", topic.key);
                }
                Bearing::Panel { kinds, .. } => {
                    for kind in kinds {
                        assert!(DAMAGE_KINDS.contains(&kind.as_str()), "{}: {kind}", topic.key);
                    }
                }
                Bearing::Rule { .. } | Bearing::Item { .. } => {}
            }
        }
    }
}

#[test]
fn cautions_are_there_and_defer_to_the_handbook() {
    let template = built_in();
    let mut wrong = Vec::new();
    let mut met = BTreeSet::new();
    let mut deferring = |at: &str, caution: &Text| {
        for (lang, words) in DEFERRAL {
            if !caution.get(lang).ends_with(words) {
                wrong.push(format!("{at}: the caution does not end by deferring in {lang:?}"));
            }
        }
    };
    let mut bare = Vec::new();
    for checkpoint in template.stops.iter().flat_map(|s| &s.checkpoints) {
        met.insert(checkpoint.system.as_str());
        match &checkpoint.caution {
            Some(caution) => deferring(&checkpoint.key, caution),
            None if CAUTIOUS_SYSTEMS.contains(&checkpoint.system.as_str()) => bare.push(checkpoint.key.as_str()),
            None => {}
        }
    }
    for topic in &template.briefings {
        match &topic.caution {
            Some(caution) => deferring(&topic.key, caution),
            None if CAUTIOUS_TOPICS.contains(&topic.key.as_str()) => bare.push(topic.key.as_str()),
            None => {}
        }
    }
    assert!(bare.is_empty(), "no caution: {bare:?}");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    for system in CAUTIOUS_SYSTEMS {
        assert!(met.contains(system), "no checkpoint for {system}");
    }
    for topic in CAUTIOUS_TOPICS {
        assert!(template.topic(topic).is_some(), "no topic {topic}");
    }
}

#[test]
fn nothing_is_wrong_with_it() {
    let problems: Vec<String> = built_in().problems().iter().map(ToString::to_string).collect();
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

/// Walks the whole document, so that a text added anywhere later is looked at too.
#[test]
fn every_text_is_in_both_languages() {
    fn walk(at: &str, value: &serde_json::Value, wrong: &mut Vec<String>, texts: &mut usize) {
        match value {
            serde_json::Value::Object(map) if map.contains_key("en") || map.contains_key("de") => {
                *texts += 1;
                let words = |lang: &str| map.get(lang).and_then(|w| w.as_str()).unwrap_or_default().trim();
                if words("en").is_empty() || words("de").is_empty() {
                    wrong.push(at.to_owned());
                }
                if words("en").len() > 20 && words("en") == words("de") {
                    wrong.push(format!("{at} is not translated"));
                }
            }
            serde_json::Value::Object(map) => {
                map.iter().for_each(|(key, v)| walk(&format!("{at}.{key}"), v, wrong, texts));
            }
            serde_json::Value::Array(list) => {
                list.iter().enumerate().for_each(|(n, v)| walk(&format!("{at}[{n}]"), v, wrong, texts));
            }
            _ => {}
        }
    }
    let (mut wrong, mut texts) = (Vec::new(), 0);
    walk("template", &serde_json::to_value(built_in()).unwrap(), &mut wrong, &mut texts);
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(texts > 600, "only {texts} texts");
}

#[test]
fn every_panel_can_be_marked_on_a_photograph() {
    let template = built_in();
    let viewpoints: Vec<_> = template.stops.iter().flat_map(|s| &s.viewpoints).collect();
    for key in VIEWPOINTS {
        assert!(template.viewpoint(key).is_some(), "no viewpoint {key}");
    }
    for panel in &template.panels {
        assert!(viewpoints.iter().any(|v| v.panels.contains(&panel.key)), "{} is on no photograph", panel.key);
        assert!(PANEL_GROUPS.contains(&panel.group.as_str()), "{}: group {}", panel.key, panel.group);
    }
}

#[test]
fn every_file_is_part_of_it() {
    fn names(folder: &Path, before: &str) -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        for entry in fs::read_dir(folder).unwrap() {
            let entry = entry.unwrap();
            let name = format!("{before}{}", entry.file_name().into_string().unwrap());
            if entry.path().is_dir() {
                found.extend(names(&entry.path(), &format!("{name}/")));
            } else {
                found.insert(name);
            }
        }
        found
    }
    let there = names(&Path::new(env!("CARGO_MANIFEST_DIR")).join("builtin"), "");
    assert_eq!(builtin::files().map(str::to_owned).collect::<BTreeSet<_>>(), there);
}

#[test]
fn it_survives_being_written_and_read() {
    let template = built_in();
    let json = serde_json::to_string(&template).unwrap();
    assert_eq!(serde_json::from_str::<Template>(&json).unwrap(), template);
}

#[test]
fn a_vehicle_is_asked_only_about_what_it_has() {
    let template = built_in();
    let everything: BTreeSet<Key> = template.equipment.iter().map(|e| e.key.clone()).collect();
    assert_eq!(template.for_equipment(&everything), template);

    let one_cylinder = template.for_equipment(&BTreeSet::from(["gas".to_owned()]));
    assert!(one_cylinder.checkpoint("cylinder_1").is_some());
    assert!(one_cylinder.checkpoint("cylinder_2").is_none(), "needs both gas and a second cylinder");
    assert!(one_cylinder.viewpoint("gas_locker").is_some());
    assert!(one_cylinder.viewpoint("awning").is_none());
    assert!(one_cylinder.item("gas_spanner").is_some());
    assert!(one_cylinder.item("mains_lead").is_none());
    assert!(one_cylinder.checkpoint("odometer").is_some());
    assert_eq!(one_cylinder.briefings, template.briefings);
    assert_eq!(one_cylinder.stops.len(), template.stops.len());

    // Each piece of equipment brings something with it.
    for key in &everything {
        let mut without = everything.clone();
        without.remove(key);
        assert_ne!(template.for_equipment(&without), template, "nothing depends on {key}");
    }
}

#[test]
fn things_are_found_by_key() {
    let template = built_in();
    assert_eq!(template.checkpoint("fuel").map(|c| c.key.as_str()), Some("fuel"));
    assert_eq!(template.item("pans").map(|i| i.key.as_str()), Some("pans"));
    assert_eq!(template.panel("hob_lid").map(|p| p.key.as_str()), Some("hob_lid"));
    assert_eq!(template.viewpoint("rear").map(|v| v.key.as_str()), Some("rear"));
    assert_eq!(template.topic("frost").map(|t| t.key.as_str()), Some("frost"));
    assert!(template.checkpoint("pans").is_none() && template.item("fuel").is_none());
    assert!(template.panel("").is_none() && template.viewpoint("x").is_none() && template.topic("x").is_none());
}

/// Breaks a sound template in one way and says what the check then reports.
fn after(breaking: impl FnOnce(&mut Template)) -> Vec<(Kind, String)> {
    let mut template = built_in();
    breaking(&mut template);
    template
        .problems()
        .into_iter()
        .map(|p| {
            assert!(!p.advice.is_empty());
            (p.kind, p.at)
        })
        .collect()
}

#[test]
fn each_kind_of_problem_is_found_where_it_is() {
    let mut met = BTreeSet::new();
    let mut expect = |kind: Kind, at: &str, breaking: fn(&mut Template)| {
        assert_eq!(after(breaking), [(kind, at.to_owned())]);
        met.insert(kind);
    };

    expect(Kind::DuplicateKey, "equipment[1].key", |t| t.equipment.insert(1, t.equipment[0].clone()));
    expect(Kind::DuplicateKey, "panels[1].key", |t| t.panels.insert(1, t.panels[0].clone()));
    expect(Kind::DuplicateKey, "stops[1].key", |t| t.stops[1].key = t.stops[0].key.clone());
    expect(Kind::DuplicateKey, "stops[2].viewpoints[0].key", |t| t.stops[2].viewpoints[0].key = "rear".into());
    expect(Kind::DuplicateKey, "stops[5].checkpoints[3].key", |t| t.stops[5].checkpoints[3].key = "fuel".into());
    // An item may not be called what a checkpoint is called.
    expect(Kind::DuplicateKey, "stops[10].inventory[2].key", |t| t.stops[10].inventory[2].key = "fuel".into());
    expect(Kind::DuplicateKey, "briefings[1].key", |t| t.briefings[1].key = t.briefings[0].key.clone());

    expect(Kind::MalformedKey, "layout", |t| t.layout = "Rear Lounge".into());
    expect(Kind::MalformedKey, "layout", |t| t.layout = String::new());
    expect(Kind::MalformedKey, "stops[0].key", |t| t.stops[0].key = "näher".into());
    expect(Kind::MalformedKey, "panels[0].group", |t| t.panels[0].group = "body-work".into());
    expect(Kind::MalformedKey, "stops[0].checkpoints[0].system", |t| t.stops[0].checkpoints[0].system = "A".into());
    expect(Kind::MalformedKey, "stops[5].checkpoints[0].ask.slot", |t| {
        t.stops[5].checkpoints[0].ask = Ask::Cylinder { slot: "slot 1".into() };
    });
    expect(Kind::MalformedKey, "stops[5].checkpoints[0].ask.wheel", |t| {
        t.stops[5].checkpoints[0].ask = Ask::Tread { wheel: "front-left".into() };
    });
    expect(Kind::MalformedKey, "briefings[0].due.key", |t| {
        t.briefings[0].due = When::Trip { key: "The Alps".into() };
    });
    expect(Kind::MalformedKey, "briefings[0].bears_on[0].kinds[0]", |t| {
        t.briefings[0].bears_on = vec![Bearing::Panel { panel: "roof".into(), kinds: vec!["big dent".into()] }];
    });

    expect(Kind::UnknownEquipment, "stops[0].viewpoints[1].needs[0]", |t| {
        t.stops[0].viewpoints[1].needs = vec!["sail".into()];
    });
    expect(Kind::UnknownEquipment, "stops[2].checkpoints[4].needs[1]", |t| {
        t.stops[2].checkpoints[4].needs = vec!["gas".into(), "sail".into()];
    });
    expect(Kind::UnknownEquipment, "stops[10].inventory[0].needs[0]", |t| {
        t.stops[10].inventory[0].needs = vec!["sail".into()];
    });
    expect(Kind::UnknownEquipment, "briefings[0].due.of[1].of[0].key", |t| {
        let sail = When::Equipment { key: "sail".into() };
        t.briefings[0].due = When::Any { of: vec![When::Pets, When::All { of: vec![sail] }] };
    });

    expect(Kind::UnknownPanel, "stops[0].viewpoints[0].panels[0]", |t| {
        t.stops[0].viewpoints[0].panels[0] = "keel".into();
    });
    expect(Kind::UnknownPanel, "briefings[2].bears_on[0].panel", |t| {
        t.briefings[2].bears_on[0] = Bearing::Panel { panel: "keel".into(), kinds: Vec::new() };
    });
    // An item is not a checkpoint and a checkpoint is not an item.
    expect(Kind::UnknownCheckpoint, "briefings[0].bears_on[0].checkpoint", |t| {
        t.briefings[0].bears_on[0] = Bearing::Checkpoint { checkpoint: "pans".into() };
    });
    expect(Kind::UnknownItem, "briefings[0].bears_on[0].item", |t| {
        t.briefings[0].bears_on[0] = Bearing::Item { item: "fuel".into() };
    });

    expect(Kind::MonthOutOfRange, "briefings[0].due.months[0]", |t| {
        t.briefings[0].due = When::Months { months: vec![0, 1, 12] };
    });
    expect(Kind::MonthOutOfRange, "briefings[0].due.of[0].months[2]", |t| {
        t.briefings[0].due = When::Any { of: vec![When::Months { months: vec![1, 12, 13] }] };
    });
    expect(Kind::EmptyCondition, "briefings[0].due.months", |t| {
        t.briefings[0].due = When::Months { months: Vec::new() };
    });
    expect(Kind::EmptyCondition, "briefings[0].due.of", |t| t.briefings[0].due = When::All { of: Vec::new() });
    expect(Kind::EmptyCondition, "briefings[0].due.of", |t| t.briefings[0].due = When::Any { of: Vec::new() });

    expect(Kind::MissingLanguage, "title", |t| t.title = Text::en("English only"));

    assert_eq!(met, BTreeSet::from(Kind::ALL), "a kind is never shown");
}

#[test]
fn a_missing_language_is_found_in_every_text() {
    type Spot = fn(&mut Template) -> &mut Text;
    let spots: [(&str, Spot); 14] = [
        ("title", |t| &mut t.title),
        ("equipment[3].title", |t| &mut t.equipment[3].title),
        ("panels[3].title", |t| &mut t.panels[3].title),
        ("stops[1].title", |t| &mut t.stops[1].title),
        ("stops[1].guidance", |t| &mut t.stops[1].guidance),
        ("stops[0].viewpoints[0].title", |t| &mut t.stops[0].viewpoints[0].title),
        ("stops[0].viewpoints[0].guidance", |t| &mut t.stops[0].viewpoints[0].guidance),
        ("stops[0].checkpoints[0].title", |t| &mut t.stops[0].checkpoints[0].title),
        ("stops[0].checkpoints[0].guidance", |t| &mut t.stops[0].checkpoints[0].guidance),
        ("stops[0].checkpoints[0].caution", |t| t.stops[0].checkpoints[0].caution.as_mut().unwrap()),
        ("stops[10].inventory[0].title", |t| &mut t.stops[10].inventory[0].title),
        ("stops[10].inventory[0].guidance", |t| t.stops[10].inventory[0].guidance.as_mut().unwrap()),
        ("briefings[0].body[2]", |t| &mut t.briefings[0].body[2]),
        ("briefings[0].caution", |t| t.briefings[0].caution.as_mut().unwrap()),
    ];
    for (at, text) in spots {
        assert_eq!(after(|t| *text(t) = Text::en("English only")), [(Kind::MissingLanguage, at.to_owned())], "{at}");
    }
    assert_eq!(
        after(|t| t.briefings[0].title = Text::both("", "Nur Deutsch")),
        [(Kind::MissingLanguage, "briefings[0].title".to_owned())]
    );
}
