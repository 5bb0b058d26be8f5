//! Reading in what a payment provider tells of holds and captures.

use super::hires::locked;
use super::input::NewMovement;
use super::ledger;
use super::{App, Caller, Code, Refusal};
use crate::store::hire;
use handsel_bank::{BankError, PaymentColumns, PaymentEvent, Told, Wrong, read_payments};
use handsel_domain::ids::MovementId;
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;
use sha2::{Digest, Sha256};
use std::io::Cursor;
use uuid::Builder;

/// Most lines of one file: each is a deed of its own, and somebody waits.
const MOST_LINES: u64 = 2000;

/// What became of a file.
#[derive(Debug, Default)]
pub struct Taken {
    pub lines: u64,
    pub recorded: u64,
    /// Recorded before.
    pub known: u64,
    /// Said to be passed over.
    pub passed: u64,
    pub refused: Vec<NotRecorded>,
}

/// A line that was not recorded, and why.
#[derive(Debug)]
pub struct NotRecorded {
    pub line: u64,
    pub event: String,
    pub hire: String,
    pub why: Refusal,
}

/// Reads a file in. It is gone through whole before anything is recorded; then each line is a movement of its own, and
/// one that is refused stops no other. What was read in before stays single.
pub async fn take(app: &App, caller: &Caller, columns: PaymentColumns, bytes: Vec<u8>) -> Result<Taken, Refusal> {
    caller.must(Action::PostMovements)?;
    let lines = tokio::task::spawn_blocking(move || lines(&columns, bytes)).await.map_err(Refusal::internal)??;
    let mut told = Taken::default();
    for (line, event) in lines {
        told.lines += 1;
        let Told::Event(event) = event else {
            told.passed += 1;
            continue;
        };
        match record(app, caller, &event).await {
            Ok(true) => told.recorded += 1,
            Ok(false) => told.known += 1,
            // The server's own failure is no fault of a line: what is recorded stays, and the file can be sent again.
            Err(why) if why.code == Code::Internal => return Err(why),
            Err(why) => told.refused.push(NotRecorded { line, event: event.event, hire: event.hire, why }),
        }
    }
    app.post.notify_one();
    Ok(told)
}

fn lines(columns: &PaymentColumns, bytes: Vec<u8>) -> Result<Vec<(u64, Told)>, BankError> {
    let mut lines = Vec::new();
    let _count = read_payments(Cursor::new(bytes), columns, |line, told| {
        lines.push((line, told));
        let count = u64::try_from(lines.len()).unwrap_or(u64::MAX);
        if count > MOST_LINES {
            let wrong = Wrong::TooLarge(format!("more than {MOST_LINES} events: ask for shorter periods"));
            return Err(BankError { wrong, at: line, entry: count });
        }
        Ok(())
    })?;
    Ok(lines)
}

/// Records one event; whether it is new.
async fn record(app: &App, caller: &Caller, event: &PaymentEvent) -> Result<bool, Refusal> {
    let now = app.effects.now();
    let at = event.at.map_or(now, Instant::from_utc);
    if at > now {
        return Err(Refusal::value("/at", "lies in the future: check how moments are written, and their offset"));
    }
    let asked = NewMovement {
        id: movement_id(event),
        kind: event.kind,
        means: event.means,
        amount: event.amount,
        reference: event.reference.clone(),
        note: event.note.clone(),
        payer: event.payer.clone(),
        hold_ends_at: event.hold_ends_at.map(Instant::from_utc),
    };
    ledger::checked(&asked)?;
    let tx = app.store.write().await?;
    let named = hire::by_references(&tx, [event.hire.as_str()]).await?;
    let Some(named) = named.first() else { return Err(Refusal::not_found("hire")) };
    let hire = locked(&tx, caller, named.id).await?;
    let taken = ledger::take(app, &tx, caller, &hire, asked, at).await?;
    tx.commit().await?;
    Ok(taken.fresh)
}

/// The same for the same event, whichever file it comes in (RFC 9562, version 8: out of a digest).
fn movement_id(event: &PaymentEvent) -> MovementId {
    let mut digest = Sha256::new();
    for part in ["payment event", event.hire.as_str(), event.event.as_str()] {
        // Each with its length, so that no two pairs make the same text.
        digest.update(part.len().to_be_bytes());
        digest.update(part);
    }
    let mut bytes = [0; 16];
    for (byte, from) in bytes.iter_mut().zip(digest.finalize()) {
        *byte = from;
    }
    MovementId(Builder::from_custom_bytes(bytes).into_uuid())
}
