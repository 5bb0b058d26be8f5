//! Canonical JSON, signatures and records against published values and against a third way of making them.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use handsel::app::SealKey;
use handsel_domain::canonical::{canonical, double};
use handsel_domain::inspection::{Inspection, Photo};
use handsel_domain::record::{Subject, text};
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures")
}

fn published(name: &str) -> Value {
    serde_json::from_slice(&std::fs::read(fixtures().join("reference").join(name)).unwrap()).unwrap()
}

fn text_of(value: &Value) -> &str {
    value.as_str().unwrap()
}

#[test]
fn canonical_json_is_that_of_rfc_8785() {
    let published = published("crypto_jcs_rfc8785.json");
    let sample: Value = serde_json::from_str(text_of(&published["sample_input"])).unwrap();
    let written = canonical(&sample);
    assert_eq!(hex::encode(&written), text_of(&published["sample_output_utf8_hex"]));
    assert_eq!(hex::encode(Sha256::digest(&written)), text_of(&published["sample_output_sha256"]));
    let sorted: Value = serde_json::from_str(text_of(&published["sort_input_json_ascii"])).unwrap();
    let sorted = canonical(&sorted);
    let places: Vec<usize> = published["sort_expected_value_order"]
        .as_array()
        .unwrap()
        .iter()
        .map(|value| sorted.find(text_of(value)).unwrap())
        .collect();
    assert!(places.is_sorted(), "{sorted}");
    let mut checked = 0;
    for number in published["numbers"].as_array().unwrap() {
        let bits = u64::from_str_radix(text_of(&number["ieee754_hex"]), 16).unwrap();
        let value = f64::from_bits(bits);
        // Published as what must be refused: JSON has no such number, and none comes out of a document.
        if let (true, Some(json)) = (value.is_finite(), number["json"].as_str()) {
            assert_eq!(double(value), json, "{number}");
            checked += 1;
        }
    }
    assert!(checked >= 20, "only {checked} numbers");
}

#[test]
fn hashes_are_those_of_sha_256() {
    for vector in published("crypto_sha256.json")["vectors"].as_array().unwrap() {
        let message = vector["message_utf8"].as_str().map_or_else(|| "a".repeat(1_000_000), str::to_owned);
        assert_eq!(hex::encode(Sha256::digest(message)), text_of(&vector["sha256"]), "{}", vector["name"]);
    }
}

#[test]
fn signatures_are_those_of_rfc_8032() {
    let mut checked = 0;
    for vector in published("crypto_ed25519.json")["vectors"].as_array().unwrap() {
        let secret: [u8; 32] = hex::decode(text_of(&vector["secret_key_hex"])).unwrap().try_into().unwrap();
        let key = SealKey::of(&secret);
        let pem = key.public_pem();
        let der: String = pem.lines().filter(|line| !line.starts_with("-----")).collect();
        assert!(hex::encode(STANDARD.decode(der).unwrap()).ends_with(text_of(&vector["public_key_hex"])));
        let message = hex::decode(text_of(&vector["message_hex"])).unwrap();
        let signature = hex::encode(STANDARD.decode(key.sign(&message)).unwrap());
        assert_eq!(signature, text_of(&vector["signature_hex"]), "{}", vector["name"]);
        checked += 1;
    }
    assert!(checked >= 4, "only {checked} signatures");
}

fn part<T: DeserializeOwned>(view: &Value, name: &str) -> T {
    serde_json::from_value(view[name].clone()).unwrap_or_else(|e| panic!("{name}: {e}"))
}

#[test]
fn records_are_what_the_rules_say() {
    let mut seen = 0;
    for file in std::fs::read_dir(fixtures().join("seals")).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|e| e != "json") {
            continue;
        }
        let fixture: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let view = &fixture["view"];
        let photos = view["photos"].as_array().unwrap().iter().map(|p| Photo {
            id: part(p, "id"),
            sha256: part(p, "sha256"),
            subject: part(p, "subject"),
            taken_at: part(p, "taken_at"),
            received_at: part(p, "received_at"),
            repeats: Vec::new(),
            awaited: p["arrived"] == false,
        });
        let mut walk = Inspection {
            id: part(view, "id"),
            leg: part(view, "leg"),
            started_at: part(view, "started_at"),
            handed_over_at: part(view, "handed_over_at"),
            clocks: part(view, "clocks"),
            entries: part(view, "entries"),
            photos: photos.collect(),
            marks: part(view, "marks"),
            sightings: part(view, "sightings"),
            briefings: part(view, "briefings"),
            signatures: Vec::new(),
            hirer_absent: part(view, "hirer_absent"),
            signed_at: None,
        };
        // Notes of spaces only are dropped as they come in, before anything is recorded.
        for entry in &mut walk.entries {
            entry.note = entry.note.take().filter(|n| !n.trim().is_empty());
        }
        let subject = Subject {
            hire: part(view, "hire"),
            vehicle: part(view, "vehicle"),
            template: part(view, "template"),
            template_version: part(view, "template_version"),
        };
        let written = text(subject, &walk).unwrap();
        assert_eq!(written, text_of(&fixture["canonical"]), "{}", path.display());
        assert_eq!(hex::encode(Sha256::digest(&written)), text_of(&fixture["sha256"]), "{}", path.display());
        seen += 1;
    }
    assert!(seen >= 3, "only {seen} records");
}
