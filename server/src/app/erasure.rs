//! Erasing personal data once its time is over. Money stays, as the ledger must; of what was sealed the hashes stay, in
//! a document that is signed.

use super::copies;
use super::hires::reached;
use super::photos::original_name;
use super::sealing::{hashed, moment};
use super::{App, Caller, Refusal};
use crate::store::record::{Erasure, Hire};
use crate::store::{Scope, StoreError, Tx, erasure, hire, seal};
use chrono::Months;
use handsel_domain::canonical::canonical;
use handsel_domain::ids::{HireId, InspectionId};
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;
use serde_json::json;

/// How an erasure names its own format.
const FORMAT: &str = "handsel-erasure-1";
/// Hires erased at a time.
const AT_ONCE: u64 = 20;

/// Erases what is due; gives how many hires that was.
pub async fn erase_due(app: &App) -> Result<u64, Refusal> {
    let now = app.effects.now();
    let before = now.utc().checked_sub_months(Months::new(app.house.keep_months));
    let before = Instant::from_utc(before.ok_or_else(|| Refusal::internal("months before any calendar"))?);
    let mut done = 0;
    loop {
        let ids = erasure::due(&app.store.read().await?, before, AT_ONCE).await?;
        if ids.is_empty() {
            return Ok(done);
        }
        for id in ids {
            erase(app, id, now).await?;
            done += 1;
        }
    }
}

async fn erase(app: &App, id: HireId, now: Instant) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    let hire = hire::lock(&tx, Scope::All, id).await?;
    let hire = hire.ok_or_else(|| StoreError::Damaged(format!("hire {id} is due and not there")))?;
    let inspections: Vec<InspectionId> = [hire.departure, hire.return_].into_iter().flatten().collect();
    let made = document(app, &tx, &hire, &inspections, now).await?;
    let originals = erasure::originals_of(&tx, &inspections).await?;
    let sent = erasure::wipe(&tx, id, &inspections, now).await?;
    erasure::insert(&tx, &made).await?;
    tx.commit().await?;
    // After the commit: a name never stands for bytes that are gone. Originals may say where they were taken, and by
    // whose telephone; the copies of the vehicle's own state carry nothing of that and stay.
    for sha256 in originals {
        app.blobs.remove(original_name(&sha256)?).await?;
    }
    for sha256 in sent {
        app.blobs.remove(original_name(&sha256)?).await?;
        for name in copies::names(&sha256)? {
            app.blobs.remove(name).await?;
        }
    }
    Ok(())
}

async fn document(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    inspections: &[InspectionId],
    now: Instant,
) -> Result<Erasure, Refusal> {
    let mut seals = Vec::new();
    for id in inspections {
        if let Some(seal) = seal::of(tx, *id).await? {
            seals.push(json!({
                "inspection": id, "vehicle": seal.vehicle, "number": seal.number, "sha256": seal.sha256,
                "record_sha256": seal.record_sha256, "previous": seal.previous,
            }));
        }
    }
    let text = hashed(canonical(&json!({
        "format": FORMAT,
        "hire": hire.id,
        "reference": hire.reference,
        "erased_at": moment(now),
        "keep_months": app.house.keep_months,
        "seals": seals,
        "key": app.seal_key.id(),
    })));
    Ok(Erasure {
        hire: hire.id,
        at: now,
        signature: app.seal_key.sign(&text.text),
        document: text.text,
        sha256: text.sha256,
        key_id: app.seal_key.id().to_owned(),
        public_key: app.seal_key.public_pem(),
    })
}

/// What was erased of a hire.
pub async fn read(app: &App, caller: &Caller, id: HireId) -> Result<Erasure, Refusal> {
    caller.must(Action::ReadBundle)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, id).await?;
    erasure::of(&tx, id).await?.ok_or_else(|| Refusal::not_found("erasure"))
}
