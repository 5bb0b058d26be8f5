//! Deeds that are done once, however often they are asked for.

use super::{Caller, Code, Refusal};
use crate::store::idempotency::{self, Claim};
use crate::store::{StoreError, Tx};
use handsel_domain::time::Instant;
use serde::Serialize;
use sha2::{Digest, Sha256};

/// Something asked for by its own id, and whether it is new.
#[derive(Clone, Debug)]
pub struct Made<T> {
    pub value: T,
    pub fresh: bool,
}

impl<T> Made<T> {
    pub(super) const fn new(value: T) -> Self {
        Self { value, fresh: true }
    }

    pub(super) const fn known(value: T) -> Self {
        Self { value, fresh: false }
    }
}

/// The caller's key for one deed, and a digest of what was asked.
#[derive(Clone, Debug)]
pub struct Idempotency {
    pub key: String,
    pub digest: String,
}

/// The answer of such a deed: the very text given the first time.
#[derive(Clone, Debug)]
pub struct Replayed {
    /// JSON.
    pub body: String,
    pub version: Option<u32>,
}

/// Claims the key within the deed's own transaction.
///
/// Gives the earlier answer when the same request was answered before.
pub(super) async fn claim(
    tx: &Tx,
    caller: &Caller,
    once: &Idempotency,
    now: Instant,
) -> Result<Option<Replayed>, Refusal> {
    match idempotency::claim(tx, caller.staff, &once.key, &once.digest, now).await? {
        Claim::Fresh => Ok(None),
        Claim::Answered { body, version } => Ok(Some(Replayed { body, version })),
        Claim::Other => Err(Refusal::new(
            Code::IdempotencyKeyReused,
            "This Idempotency-Key was sent with another request: use a new key for a new deed.",
        )),
    }
}

/// Keeps the answer with the deed and makes both stay.
pub(super) async fn commit<T: Serialize>(
    tx: Tx,
    caller: &Caller,
    once: &Idempotency,
    answer: &T,
    version: Option<u32>,
) -> Result<Replayed, Refusal> {
    let body = serde_json::to_string(answer).map_err(Refusal::internal)?;
    idempotency::keep(&tx, caller.staff, &once.key, &body, version).await?;
    tx.commit().await?;
    Ok(Replayed { body, version })
}

/// Gives a claimed key up: nothing was done that could be answered again.
pub(super) async fn release(tx: &Tx, caller: &Caller, once: &Idempotency) -> Result<(), Refusal> {
    Ok(idempotency::release(tx, caller.staff, &once.key).await?)
}

/// A digest of what was asked, to tell a repeated request from a different one with the same id.
pub(super) fn digest<T: Serialize>(asked: &T) -> Result<String, Refusal> {
    let bytes = serde_json::to_vec(asked).map_err(Refusal::internal)?;
    Ok(hex::encode(Sha256::digest(bytes)))
}

pub(super) fn id_taken(what: &str) -> Refusal {
    Refusal::new(
        Code::IdTaken,
        format!("The id belongs to another {what}, or to this one with other content: make a new id (UUIDv7)."),
    )
}

/// A unique value met another: the column says which refusal that is; a taken id otherwise.
pub(super) fn taken(error: StoreError, what: &str, column: &str, refusal: impl FnOnce() -> Refusal) -> Refusal {
    match error {
        StoreError::Taken(_) if error.is_taken(column) => refusal(),
        StoreError::Taken(_) => id_taken(what),
        other => other.into(),
    }
}

/// The version named is no longer the latest.
pub(super) fn changed_meanwhile(version: u32, now: u32) -> Refusal {
    Refusal::new(
        Code::ChangedMeanwhile,
        format!("You changed version {version}, but it is at version {now}: read it again and repeat your change."),
    )
    .and("version", now)
}
