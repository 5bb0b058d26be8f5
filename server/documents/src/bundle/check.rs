//! Checking a bundle: hashes, signatures, seals, and every charge reckoned anew.

use super::{CASE, COMPARISON, KEY, LEDGER, LEGS, STATEMENT, SUMS, SUMS_SIGNATURE};
use crate::statement::StatementLine;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ed25519_dalek::pkcs8::{DecodePublicKey, EncodePublicKey};
use ed25519_dalek::{Signature, VerifyingKey};
use handsel_domain::case::Case;
use handsel_domain::case_check;
use handsel_domain::comparison::compare;
use handsel_domain::deposit::{Ledger, Movement};
use handsel_domain::ids::{HireId, TemplateId, VehicleId};
use handsel_domain::inspection::Inspection;
use handsel_domain::record::{Subject, document};
use handsel_domain::text::Lang;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::io::{Read, Seek};
use zip::ZipArchive;

/// Most bytes one file of a bundle may unpack to: the largest photograph there can be, and some.
const LARGEST: u64 = 64 * 1024 * 1024;
/// Most files.
const MOST: usize = 10_000;

/// Something that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The file it is about.
    pub file: String,
    pub words: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file, self.words)
    }
}

/// What checking came to.
#[derive(Clone, Debug, Default)]
pub struct Verdict {
    pub problems: Vec<Problem>,
    pub files: usize,
    pub seals: usize,
    pub lines: usize,
    /// SHA-256 of the signing key's DER: whose key it is has to be asked of the operator.
    pub key_id: Option<String>,
}

impl Verdict {
    fn add(&mut self, file: &str, words: impl Into<String>) {
        self.problems.push(Problem { file: file.to_owned(), words: words.into() });
    }
}

/// What is read of a bundle: hashes of everything, and the bytes of what is not a photograph.
#[derive(Default)]
struct Unpacked {
    sums: BTreeMap<String, String>,
    bytes: BTreeMap<String, Vec<u8>>,
}

impl Unpacked {
    fn get(&self, name: &str) -> Option<&[u8]> {
        self.bytes.get(name).map(Vec::as_slice)
    }
}

/// Checks a bundle. `known_key`: the operator's key id, where it is known from elsewhere.
pub fn verify<R: Read + Seek>(bundle: R, known_key: Option<&str>) -> Verdict {
    let mut verdict = Verdict::default();
    let Some(unpacked) = unpack(bundle, &mut verdict) else { return verdict };
    verdict.files = unpacked.sums.len();
    sums(&unpacked, &mut verdict);
    signature(&unpacked, known_key, &mut verdict);
    let case = case(&unpacked, &mut verdict);
    for leg in LEGS {
        let recorded = case.as_ref().map(|c| if leg == "departure" { &c.departure } else { &c.return_ });
        seal(&unpacked, leg, case.as_ref().zip(recorded), &mut verdict);
    }
    if let Some(case) = &case {
        reckon(&unpacked, case, &mut verdict);
    }
    verdict
}

fn unpack<R: Read + Seek>(bundle: R, verdict: &mut Verdict) -> Option<Unpacked> {
    let mut zip = match ZipArchive::new(bundle) {
        Ok(zip) => zip,
        Err(error) => {
            verdict.add("the bundle", format!("is no ZIP that can be read: {error}"));
            return None;
        }
    };
    if zip.len() > MOST {
        verdict.add("the bundle", format!("holds {} files: more than {MOST} are no bundle", zip.len()));
        return None;
    }
    let mut unpacked = Unpacked::default();
    for index in 0..zip.len() {
        let mut file = match zip.by_index(index) {
            Ok(file) => file,
            Err(error) => {
                verdict.add(&format!("file number {}", index + 1), format!("cannot be unpacked: {error}"));
                continue;
            }
        };
        let name = match file.name() {
            Ok(name) => name.into_owned(),
            Err(error) => {
                verdict.add(&format!("file number {}", index + 1), format!("has no name that can be read: {error}"));
                continue;
            }
        };
        if file.enclosed_name().is_none() || file.is_dir() {
            verdict.add(&name, "is no plain file of this folder");
            continue;
        }
        let mut bytes = Vec::new();
        if let Err(error) = file.by_ref().take(LARGEST + 1).read_to_end(&mut bytes) {
            verdict.add(&name, format!("cannot be unpacked: {error}"));
            continue;
        }
        if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > LARGEST {
            verdict.add(&name, format!("unpacks to more than {LARGEST} bytes"));
            continue;
        }
        if unpacked.sums.insert(name.clone(), hex::encode(Sha256::digest(&bytes))).is_some() {
            verdict.add(&name, "is in there twice");
        }
        if !name.starts_with("photos/") && !name.starts_with("documents/") {
            unpacked.bytes.insert(name, bytes);
        }
    }
    Some(unpacked)
}

/// Every file is listed with its hash, and every listed file is there.
fn sums(unpacked: &Unpacked, verdict: &mut Verdict) {
    let Some(list) = unpacked.get(SUMS) else {
        verdict.add(SUMS, "is missing");
        return;
    };
    let text = String::from_utf8_lossy(list);
    let mut listed = BTreeSet::from([SUMS, SUMS_SIGNATURE]);
    for line in text.lines() {
        let Some((sum, name)) = line.split_once("  ") else {
            verdict.add(SUMS, format!("has a line that is none of `sha256sum`: {line}"));
            continue;
        };
        listed.insert(name);
        match unpacked.sums.get(name) {
            None => verdict.add(name, "is listed in SHA256SUMS and not there"),
            Some(found) if found != sum => verdict.add(name, "is not what SHA256SUMS says: its SHA-256 differs"),
            Some(_) => {}
        }
    }
    for name in unpacked.sums.keys().filter(|name| !listed.contains(name.as_str())) {
        verdict.add(name, "is not listed in SHA256SUMS");
    }
}

fn public_key(unpacked: &Unpacked, name: &str, verdict: &mut Verdict) -> Option<VerifyingKey> {
    let Some(pem) = unpacked.get(name) else {
        verdict.add(name, "is missing");
        return None;
    };
    let key = std::str::from_utf8(pem).ok().and_then(|pem| VerifyingKey::from_public_key_pem(pem).ok());
    if key.is_none() {
        verdict.add(name, "is no Ed25519 public key in PEM");
    }
    key
}

fn key_id(key: &VerifyingKey) -> Option<String> {
    key.to_public_key_der().ok().map(|der| hex::encode(Sha256::digest(der.as_bytes())))
}

fn signed(key: &VerifyingKey, text: &[u8], signature: &[u8]) -> bool {
    Signature::from_slice(signature).is_ok_and(|signature| key.verify_strict(text, &signature).is_ok())
}

fn signature(unpacked: &Unpacked, known_key: Option<&str>, verdict: &mut Verdict) {
    let Some(key) = public_key(unpacked, KEY, verdict) else { return };
    verdict.key_id = key_id(&key);
    if let (Some(known), Some(id)) = (known_key, &verdict.key_id)
        && known != id
    {
        let words = format!("is not the operator's key: its id is {id}");
        verdict.add(KEY, words);
    }
    match (unpacked.get(SUMS), unpacked.get(SUMS_SIGNATURE)) {
        (Some(list), Some(signature)) => {
            if !signed(&key, list, signature) {
                verdict.add(SUMS_SIGNATURE, format!("is not the signature of {SUMS} by the key in {KEY}"));
                verdict.add(SUMS, format!("is not what {SUMS_SIGNATURE} signs"));
            }
        }
        (_, None) => verdict.add(SUMS_SIGNATURE, "is missing"),
        // Said already.
        (None, _) => {}
    }
}

fn json(unpacked: &Unpacked, name: &str, verdict: &mut Verdict) -> Option<Value> {
    let Some(bytes) = unpacked.get(name) else {
        verdict.add(name, "is missing");
        return None;
    };
    match serde_json::from_slice(bytes) {
        Ok(value) => Some(value),
        Err(error) => {
            verdict.add(name, format!("is no JSON that can be read: {error}"));
            None
        }
    }
}

fn case(unpacked: &Unpacked, verdict: &mut Verdict) -> Option<Case> {
    let Some(bytes) = unpacked.get(CASE) else {
        verdict.add(CASE, "is missing");
        return None;
    };
    match case_check::parse(bytes) {
        Ok(case) => Some(case),
        Err(problem) => {
            verdict.add(CASE, problem.to_string());
            None
        }
    }
}

/// One walk-round's seal: its own signature, the record and drawings it names, the photographs the record names, and
/// what the case document says of the same walk-round.
fn seal(unpacked: &Unpacked, leg: &str, recorded: Option<(&Case, &Inspection)>, verdict: &mut Verdict) {
    let at = |name: &str| format!("inspections/{leg}/{name}");
    let Some(sealed) = unpacked.get(&at("seal.json")) else {
        // Erased, or never sealed. A signature that seals nothing is the trace of the first.
        return;
    };
    let Some(key) = public_key(unpacked, &at("key.pem"), verdict) else { return };
    match unpacked.get(&at("seal.sig")) {
        Some(signature) if signed(&key, sealed, signature) => verdict.seals += 1,
        Some(_) => verdict.add(&at("seal.sig"), "is not the signature of seal.json by the key in key.pem beside it"),
        None => verdict.add(&at("seal.sig"), "is missing"),
    }
    addenda(unpacked, leg, verdict);
    let Some(seal) = json(unpacked, &at("seal.json"), verdict) else { return };
    if seal.get("key").and_then(Value::as_str) != key_id(&key).as_deref() {
        verdict.add(&at("seal.json"), "names another key than the one beside it");
    }
    for drawn in seal.get("signatures").and_then(Value::as_array).into_iter().flatten() {
        let role = drawn.get("role").and_then(Value::as_str).unwrap_or_default();
        let name = at(&format!("signature-{role}.json"));
        match unpacked.sums.get(&name) {
            None => verdict.add(&name, "is named by the seal and missing"),
            Some(sum) if Some(sum.as_str()) != drawn.get("strokes_sha256").and_then(Value::as_str) => {
                verdict.add(&name, "is not the signature that was sealed: its SHA-256 differs");
            }
            Some(_) => {}
        }
    }
    let name = at("record.json");
    match unpacked.sums.get(&name) {
        None => verdict.add(&name, "is sealed and missing"),
        Some(sum) if Some(sum.as_str()) != seal.get("record_sha256").and_then(Value::as_str) => {
            verdict.add(&name, "is not the record that was sealed: its SHA-256 differs");
        }
        Some(_) => {}
    }
    let Some(record) = json(unpacked, &name, verdict) else { return };
    for photo in record.get("photos").and_then(Value::as_array).into_iter().flatten() {
        let sha256 = photo.get("sha256").and_then(Value::as_str).unwrap_or_default();
        let there = unpacked.sums.iter().find(|(file, _)| file.starts_with(&format!("photos/{sha256}.")));
        match there {
            None => verdict.add(&name, format!("names the photograph {sha256}, which is missing")),
            Some((file, sum)) if sum != sha256 => verdict.add(file, "is not the photograph that was sealed"),
            Some(_) => {}
        }
    }
    if let Some((case, recorded)) = recorded {
        same(&name, &record, case, recorded, verdict);
    }
}

fn addenda(unpacked: &Unpacked, leg: &str, verdict: &mut Verdict) {
    let stems = unpacked.bytes.keys().filter_map(|name| {
        let stem = name.strip_suffix(".json")?;
        stem.starts_with(&format!("inspections/{leg}/addendum-")).then(|| stem.to_owned())
    });
    for stem in stems.collect::<Vec<_>>() {
        let Some(key) = public_key(unpacked, &format!("{stem}.pem"), verdict) else { continue };
        let (document, signature) = (format!("{stem}.json"), format!("{stem}.sig"));
        let holds = unpacked.get(&document).zip(unpacked.get(&signature)).is_some_and(|(d, s)| signed(&key, d, s));
        if !holds {
            verdict.add(&signature, format!("is not the signature of {document} by the key beside it"));
        }
    }
}

/// The case document says nothing of a walk-round that its sealed record does not say. It may say less: of answers that
/// were replaced it carries the last.
fn same(name: &str, record: &Value, case: &Case, recorded: &Inspection, verdict: &mut Verdict) {
    let id = |path: &str| record.pointer(path).and_then(Value::as_str);
    let subject = Subject {
        hire: id("/hire").and_then(|t| t.parse().ok()).unwrap_or(HireId(case.hire.id.0)),
        vehicle: id("/vehicle").and_then(|t| t.parse().ok()).unwrap_or(VehicleId(case.vehicle.id.0)),
        template: id("/template/id").and_then(|t| t.parse().ok()).unwrap_or(TemplateId(case.hire.id.0)),
        template_version: case.template.version,
    };
    if subject.hire != case.hire.id {
        verdict.add(name, "is of another hire than case.json");
    }
    if subject.vehicle != case.vehicle.id {
        verdict.add(name, "is of another vehicle than case.json");
    }
    let said = match document(subject, recorded) {
        Ok(said) => said,
        Err(error) => {
            verdict.add(CASE, format!("its walk-round cannot be written: {error}"));
            return;
        }
    };
    for list in ["entries", "photos", "marks", "sightings", "briefings"] {
        let sealed: BTreeSet<String> = items(record, list).map(plain).collect();
        for item in items(&said, list).map(plain).filter(|item| !sealed.contains(item)) {
            verdict.add(CASE, format!("says something under {list} that {name} does not: {item}"));
        }
    }
    for field in ["inspection", "leg", "started_at", "handed_over_at", "absence"] {
        if record.get(field) != said.get(field) {
            verdict.add(CASE, format!("and {name} say different things under {field}"));
        }
    }
}

fn items<'a>(of: &'a Value, list: &str) -> impl Iterator<Item = &'a Value> {
    of.get(list).and_then(Value::as_array).into_iter().flatten()
}

/// As text, without what an answer replaced: the case names only those it carries.
fn plain(item: &Value) -> String {
    let mut item = item.clone();
    if let Some(object) = item.as_object_mut() {
        object.remove("replaces");
    }
    item.to_string()
}

/// Every charge, reckoned anew from the case; and the ledger against the statement.
fn reckon(unpacked: &Unpacked, case: &Case, verdict: &mut Verdict) {
    let compared = match compare(case, Lang::En) {
        Ok(compared) => compared,
        Err(problems) => {
            problems.iter().for_each(|p| verdict.add(CASE, p.to_string()));
            return;
        }
    };
    verdict.lines = compared.lines.len();
    if let Some(told) = json(unpacked, COMPARISON, verdict) {
        let reckoned = serde_json::to_value(&compared).unwrap_or_default();
        for line in items(&reckoned, "lines") {
            let key = line.get("key").and_then(Value::as_str).unwrap_or_default();
            let same = items(&told, "lines").find(|l| l.get("key") == line.get("key"));
            if same != Some(line) {
                verdict.add(COMPARISON, format!("the line {key} is not what case.json comes to"));
            }
        }
        if told != reckoned {
            verdict.add(COMPARISON, "is not what case.json comes to");
        }
    }
    let movements: Option<Vec<Movement>> = json(unpacked, LEDGER, verdict).and_then(|v| serde_json::from_value(v).ok());
    let Some(movements) = movements else {
        verdict.add(LEDGER, "is no list of movements");
        return;
    };
    let charged = compared.totals.charged;
    let ledger = match Ledger::replay(charged.currency, &movements) {
        Ok(ledger) => ledger,
        Err((id, why)) => {
            verdict.add(LEDGER, format!("movement {id} cannot have been: {why}"));
            return;
        }
    };
    let Some(statement) = json(unpacked, STATEMENT, verdict) else { return };
    let sums = [
        ("charged", serde_json::to_value(charged).unwrap_or_default()),
        ("outstanding", serde_json::to_value(ledger.outstanding(charged).ok()).unwrap_or_default()),
        ("balances", serde_json::to_value(ledger.balances()).unwrap_or_default()),
    ];
    let lines = serde_json::to_value(StatementLine::all(&compared)).unwrap_or_default();
    if statement.get("lines") != Some(&lines) {
        verdict.add(STATEMENT, "its lines are not what case.json comes to");
    }
    for (name, reckoned) in sums {
        if statement.get(name) != Some(&reckoned) {
            verdict.add(STATEMENT, format!("its {name} is not what case.json and ledger.json come to: {reckoned}"));
        }
    }
}

/// A signature as it is kept, in base64, as raw bytes.
///
/// # Errors
/// It is no base64.
pub fn raw_signature(base64: &str) -> Result<Vec<u8>, base64::DecodeError> {
    STANDARD.decode(base64)
}
