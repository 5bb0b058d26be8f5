//! Tidying up: what nobody will ask for again is taken away, now and then.

use super::{App, Refusal};
use crate::store::{idempotency, upload};

/// Answers to repeated requests are kept as long as somebody may stay signed in without being seen.
const ANSWERS_SECONDS: i64 = 30 * 86_400;
/// Bytes nobody has touched for longer than any upload may take.
const BYTES_SECONDS: i64 = 7 * 86_400;

/// What was taken away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Swept {
    pub answers: u64,
    pub uploads: u64,
    pub files: u64,
}

/// Takes away old answers, uploads that ran out and what a crash left of bytes on their way.
pub async fn sweep(app: &App) -> Result<Swept, Refusal> {
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let answers = idempotency::forget(&tx, now.plus_seconds(-ANSWERS_SECONDS)).await?;
    let over = upload::remove_expired(&tx, now).await?;
    tx.commit().await?;
    let uploads = u64::try_from(over.len()).map_err(Refusal::internal)?;
    for id in over {
        app.blobs.remove_part(id).await?;
    }
    let files = app.blobs.sweep(now.plus_seconds(-BYTES_SECONDS)).await?;
    Ok(Swept { answers, uploads, files })
}
