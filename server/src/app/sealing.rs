//! The record of an inspection, and its seal (rule 9).

use super::input::Sign;
use super::open_walk::Walk;
use super::view::{AddendumView, SealBundle, SealView};
use super::{App, Caller, Code, Refusal};
use crate::store::record::{Dispute, Seal};
use crate::store::{Tx, addendum, seal as kept, vehicle};
use chrono::SecondsFormat;
use handsel_domain::canonical::canonical;
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::{Inspection, Signature};
use handsel_domain::policy::Action;
use handsel_domain::record::{Subject, text};
use handsel_domain::time::Instant;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// How a seal names its own format.
const FORMAT: &str = "handsel-seal-1";

/// What is hashed, and its hash.
#[derive(Clone, Debug)]
pub(super) struct Hashed {
    pub(super) text: String,
    pub(super) sha256: String,
}

pub(super) fn hashed(text: String) -> Hashed {
    let sha256 = hex::encode(Sha256::digest(&text));
    Hashed { text, sha256 }
}

/// As the record writes a moment.
pub(super) fn moment(at: Instant) -> String {
    at.utc().to_rfc3339_opts(SecondsFormat::Millis, true)
}

/// The record as it stands.
pub(super) fn record(walk: &Walk, recorded: &Inspection) -> Result<Hashed, Refusal> {
    let subject = Subject {
        hire: walk.head.hire,
        vehicle: walk.head.vehicle,
        template: walk.head.template,
        template_version: walk.asked.version,
    };
    Ok(hashed(text(subject, recorded).map_err(Refusal::internal)?))
}

/// Compares the record with every hash the device gave. Where one differs, both documents are kept.
pub(super) async fn dispute(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    record: &Hashed,
    recorded: &Inspection,
    asked: &Sign,
    now: Instant,
) -> Result<Option<Refusal>, Refusal> {
    let own = asked.record.as_ref().map(|document| hashed(canonical(document)).sha256);
    let signed = recorded.signatures.iter().filter_map(|s| s.record_sha256.clone());
    let given: Vec<String> = signed.chain(asked.record_sha256.clone()).chain(own).collect();
    if given.iter().all(|hash| *hash == record.sha256) {
        return Ok(None);
    }
    let dispute = Dispute {
        id: app.effects.ids.next(),
        inspection: recorded.id,
        staff: caller.staff,
        at: now,
        device_record: asked.record.clone(),
        device_hashes: given,
        server_record: record.text.clone(),
        server_sha256: record.sha256.clone(),
    };
    kept::keep_dispute(tx, &dispute).await?;
    let refusal = Refusal::new(
        Code::SealDiffers,
        "What was signed is not what is recorded here, so nothing was closed; both are kept. Look at the inspection as \
         it is now, and have it signed again.",
    );
    Ok(Some(refusal.and("record_sha256", &record.sha256).and("dispute", dispute.id)))
}

/// Seals an inspection that was just signed.
pub(super) async fn seal(
    app: &App,
    tx: &Tx,
    walk: &Walk,
    record: &Hashed,
    recorded: &Inspection,
    now: Instant,
) -> Result<(), Refusal> {
    // One after the other: each seal of a vehicle names the one before.
    vehicle::lock(tx, walk.head.vehicle).await?;
    let before = kept::last_of(tx, walk.head.vehicle).await?;
    let (number, previous) = before.map_or((1, None), |(number, sha256)| (number + 1, Some(sha256)));
    let mut signatures: Vec<&Signature> = recorded.signatures.iter().collect();
    signatures.sort_by_key(|s| s.role);
    let signatures: Vec<Value> = signatures
        .into_iter()
        .map(|s| {
            json!({
                "role": s.role, "name": s.name, "signed_at": moment(s.signed_at),
                "strokes_sha256": s.strokes_sha256, "record_sha256": s.record_sha256,
            })
        })
        .collect();
    let document = hashed(canonical(&json!({
        "format": FORMAT,
        "record_sha256": record.sha256,
        "signatures": signatures,
        "previous": previous,
        "sealed_at": moment(now),
        "key": app.seal_key.id(),
    })));
    let made = Seal {
        inspection: walk.head.id,
        vehicle: walk.head.vehicle,
        number,
        record: record.text.clone(),
        record_sha256: record.sha256.clone(),
        signature: app.seal_key.sign(&document.text),
        document: document.text,
        sha256: document.sha256,
        key_id: app.seal_key.id().to_owned(),
        public_key: app.seal_key.public_pem(),
        previous,
        sealed_at: now,
    };
    Ok(kept::insert(tx, &made).await?)
}

/// The seal of an inspection, as it is shown with it.
pub(super) async fn of(tx: &Tx, id: InspectionId) -> Result<Option<SealView>, Refusal> {
    Ok(kept::of(tx, id).await?.map(|seal| SealView {
        sha256: seal.sha256,
        record_sha256: seal.record_sha256,
        signature: seal.signature,
        key_id: seal.key_id,
        previous: seal.previous,
        sealed_at: seal.sealed_at,
    }))
}

/// Everything it takes to check the seal of an inspection without this server.
pub async fn read(app: &App, caller: &Caller, id: InspectionId) -> Result<SealBundle, Refusal> {
    caller.must(Action::ReadInspections)?;
    let tx = app.store.read().await?;
    let walk = Walk::read(&tx, caller, id).await?;
    let seal = kept::of(&tx, walk.head.id).await?.ok_or_else(not_sealed)?;
    Ok(SealBundle {
        record: seal.record,
        record_sha256: seal.record_sha256,
        document: seal.document,
        sha256: seal.sha256,
        signature: seal.signature,
        key_id: seal.key_id,
        public_key: seal.public_key,
        addenda: addendum::of(&tx, id).await?.into_iter().map(AddendumView::from).collect(),
    })
}

pub(super) fn not_sealed() -> Refusal {
    Refusal::new(
        Code::InspectionUnsealed,
        "The inspection is not sealed: it is while it is signed that a seal is made.",
    )
}
