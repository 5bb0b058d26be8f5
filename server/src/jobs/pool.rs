//! Workers: a fixed number, each with one job at a time.

use super::Taken;
use futures_util::future::BoxFuture;
use std::fmt;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{Notify, watch};
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};

/// How often an idle worker looks whether something became due that nobody woke it for.
const LOOK: Duration = Duration::from_millis(500);
/// How often a worker says that it is still at its job: well within a lease.
const STILL_HERE: Duration = Duration::from_secs(5);
/// How long a worker waits after the queue could not be reached.
const UNREACHABLE: Duration = Duration::from_secs(2);
/// How long a stopping server lets its workers finish.
const FINISH: Duration = Duration::from_secs(20);

/// Where jobs come from and what is done about them.
pub trait Workshop: Send + Sync + 'static {
    /// The next job that is due, taken.
    fn take(&self) -> BoxFuture<'_, Result<Option<Taken>, String>>;
    /// Keeps a taken job for another while.
    fn extend(&self, taken: Taken) -> BoxFuture<'_, Result<(), String>>;
    /// Does the job and settles it.
    fn work(&self, taken: Taken) -> BoxFuture<'_, Outcome>;
    /// Gives a job back that was not finished.
    fn release(&self, taken: Taken) -> BoxFuture<'_, Result<(), String>>;
}

/// How a job ended; what went wrong was settled and told by whoever did it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    Settled,
    /// It could not even be settled: its lease will run out.
    Abandoned,
}

/// Running workers. Dropped, they are stopped where they are.
pub struct Pool {
    stop: watch::Sender<bool>,
    workers: JoinSet<()>,
}

impl fmt::Debug for Pool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Pool").field("workers", &self.workers.len()).finish_non_exhaustive()
    }
}

impl Pool {
    /// Starts so many workers; `wake` tells them that something is due.
    #[must_use]
    pub fn start(workshop: &Arc<dyn Workshop>, wake: &Arc<Notify>, workers: usize) -> Self {
        let (stop, stopping) = watch::channel(false);
        let mut running = JoinSet::new();
        for _ in 0..workers {
            running.spawn(worker(Arc::clone(workshop), Arc::clone(wake), stopping.clone()));
        }
        Self { stop, workers: running }
    }

    /// Lets every worker finish its job, or give it back.
    pub async fn stop(mut self) {
        // Nobody listens when there are no workers.
        self.stop.send_replace(true);
        while let Some(ended) = self.workers.join_next().await {
            if let Err(error) = ended {
                tracing::error!(%error, "a worker broke down");
            }
        }
    }
}

async fn worker(workshop: Arc<dyn Workshop>, wake: Arc<Notify>, mut stopping: watch::Receiver<bool>) {
    while !*stopping.borrow() {
        match workshop.take().await {
            Ok(Some(taken)) => at(workshop.as_ref(), taken, &mut stopping).await,
            Ok(None) => {
                tokio::select! {
                    () = wake.notified() => {}
                    () = sleep(LOOK) => {}
                    _ = stopping.changed() => {}
                }
            }
            Err(error) => {
                tracing::error!(error, "the queue of jobs cannot be reached");
                tokio::select! {
                    () = sleep(UNREACHABLE) => {}
                    _ = stopping.changed() => {}
                }
            }
        }
    }
}

/// At one job: says so now and then, and gives it back when the server stops before it ends.
async fn at(workshop: &dyn Workshop, taken: Taken, stopping: &mut watch::Receiver<bool>) {
    let job = taken.job;
    let mut work = workshop.work(taken);
    let outcome = loop {
        tokio::select! {
            outcome = &mut work => break outcome,
            () = sleep(STILL_HERE) => {
                if let Err(error) = workshop.extend(taken).await {
                    tracing::warn!(?job, error, "the job's lease cannot be extended");
                }
            }
            _ = stopping.changed() => {
                if let Ok(outcome) = timeout(FINISH, &mut work).await {
                    break outcome;
                }
                drop(work);
                match workshop.release(taken).await {
                    Ok(()) => tracing::info!(?job, "given back, as the server stops"),
                    Err(error) => tracing::error!(?job, error, "cannot be given back: it is due when its lease ends"),
                }
                return;
            }
        }
    };
    if outcome == Outcome::Abandoned {
        tracing::error!(?job, "could not be settled: it is due again when its lease ends");
    }
}
