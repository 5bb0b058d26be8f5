//! What workers do. Each job may be begun more than once, by a server that was killed or slow: everything it keeps is
//! kept once, and only whoever still holds the job settles it.

mod develop;
mod point;
mod repeats;

use super::{App, Refusal};
use crate::jobs::{Kind, Outcome, Settled, Taken, Workshop};
use crate::store::{StoreError, Tx, job};
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use std::sync::Arc;

struct Darkroom(App);

pub(super) fn open(app: &App) -> Arc<dyn Workshop> {
    Arc::new(Darkroom(app.clone()))
}

impl Darkroom {
    async fn next(&self) -> Result<Option<Taken>, StoreError> {
        let now = self.0.effects.now();
        // Asked without a turn at writing, which an idle worker would take from those who have something to write.
        if !job::any_due(&self.0.store.read().await?, now).await? {
            return Ok(None);
        }
        let tx = self.0.store.write().await?;
        let taken = job::take(&tx, now).await?;
        tx.commit().await?;
        Ok(taken)
    }

    async fn settle(&self, taken: Taken, settled: &Settled) -> Result<(), StoreError> {
        let tx = self.0.store.write().await?;
        job::settle(&tx, taken, settled).await?;
        tx.commit().await
    }

    async fn stay(&self, taken: Taken) -> Result<(), StoreError> {
        let tx = self.0.store.write().await?;
        job::extend(&tx, taken.extend(self.0.effects.now())).await?;
        tx.commit().await
    }

    async fn do_and_settle(&self, taken: Taken) -> Outcome {
        let done = match taken.job.kind {
            Kind::Photo => develop::photo(&self.0, taken).await,
            Kind::Point => point::photo(&self.0, taken).await,
        };
        let Err(refusal) = done else { return Outcome::Settled };
        let settled = taken.fail(refusal.to_string(), self.0.effects.now());
        match &settled {
            Settled::Failed { reason } => tracing::error!(job = ?taken.job, reason, "given up"),
            _ => tracing::warn!(job = ?taken.job, %refusal, "failed, to be tried again"),
        }
        match self.settle(taken, &settled).await {
            Ok(()) => Outcome::Settled,
            Err(error) => {
                tracing::error!(job = ?taken.job, %error, "cannot be settled");
                Outcome::Abandoned
            }
        }
    }
}

impl Workshop for Darkroom {
    fn take(&self) -> BoxFuture<'_, Result<Option<Taken>, String>> {
        self.next().map(|taken| taken.map_err(|e| e.to_string())).boxed()
    }

    fn extend(&self, taken: Taken) -> BoxFuture<'_, Result<(), String>> {
        self.stay(taken).map(|done| done.map_err(|e| e.to_string())).boxed()
    }

    fn work(&self, taken: Taken) -> BoxFuture<'_, Outcome> {
        self.do_and_settle(taken).boxed()
    }

    fn release(&self, taken: Taken) -> BoxFuture<'_, Result<(), String>> {
        let settled = taken.release(self.0.effects.now());
        async move { self.settle(taken, &settled).await.map_err(|e| e.to_string()) }.boxed()
    }
}

/// Ends a job in the transaction that keeps what it came to. One that somebody else took over changes nothing.
async fn finish(tx: Tx, taken: Taken) -> Result<(), Refusal> {
    if job::settle(&tx, taken, &taken.finish()).await? {
        tx.commit().await?;
    }
    Ok(())
}
