//! What workers do. Each job may be begun more than once, by a server that was killed or slow: everything it keeps is
//! kept once, and only whoever still holds the job settles it.

use super::darkroom::{develop, point};
use super::{App, Refusal, postroom};
use crate::jobs::{Kind, Outcome, Settled, Taken, Workshop};
use crate::store::{StoreError, Tx, job};
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use std::sync::Arc;

struct Bench {
    app: App,
    kinds: &'static [Kind],
}

/// A workshop for jobs of some kinds.
pub(super) fn open(app: &App, kinds: &'static [Kind]) -> Arc<dyn Workshop> {
    Arc::new(Bench { app: app.clone(), kinds })
}

impl Bench {
    async fn next(&self) -> Result<Option<Taken>, StoreError> {
        let now = self.app.effects.now();
        // Asked without a turn at writing, which an idle worker would take from those who have something to write.
        if !job::any_due(&self.app.store.read().await?, self.kinds, now).await? {
            return Ok(None);
        }
        let tx = self.app.store.write().await?;
        let taken = job::take(&tx, self.kinds, now).await?;
        tx.commit().await?;
        Ok(taken)
    }

    async fn settle(&self, taken: Taken, settled: &Settled) -> Result<(), StoreError> {
        let tx = self.app.store.write().await?;
        job::settle(&tx, taken, settled).await?;
        tx.commit().await
    }

    async fn stay(&self, taken: Taken) -> Result<(), StoreError> {
        let tx = self.app.store.write().await?;
        job::extend(&tx, taken.extend(self.app.effects.now())).await?;
        tx.commit().await
    }

    async fn do_and_settle(&self, taken: Taken) -> Outcome {
        let done = match taken.job.kind {
            Kind::Photo => develop::photo(&self.app, taken).await,
            Kind::Point => point::photo(&self.app, taken).await,
            Kind::Letter => postroom::letter(&self.app, taken).await,
            Kind::Notice => postroom::notice(&self.app, taken).await,
        };
        let Err(refusal) = done else { return Outcome::Settled };
        let settled = taken.fail(refusal.to_string(), self.app.effects.now());
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

impl Workshop for Bench {
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
        let settled = taken.release(self.app.effects.now());
        async move { self.settle(taken, &settled).await.map_err(|e| e.to_string()) }.boxed()
    }
}

/// Ends a job in the transaction that keeps what it came to. One that somebody else took over changes nothing.
pub(super) async fn finish(tx: Tx, taken: Taken) -> Result<(), Refusal> {
    if job::settle(&tx, taken, &taken.finish()).await? {
        tx.commit().await?;
    }
    Ok(())
}
