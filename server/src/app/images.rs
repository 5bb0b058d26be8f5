//! Work on pixels: on threads of its own, and only as much at once as the machine bears.

use super::{Code, Refusal};
use handsel_imaging::{IngestError, Ingested, Limits, derivative, ingest};
use std::sync::Arc;
use tokio::sync::Semaphore;

/// A full-size photograph takes a few hundred megabytes while it is worked on.
const AT_ONCE: usize = 2;

#[derive(Clone, Debug)]
pub(super) struct Images {
    turns: Arc<Semaphore>,
    limits: Limits,
}

impl Images {
    pub(super) fn new() -> Self {
        Self { turns: Arc::new(Semaphore::new(AT_ONCE)), limits: Limits::default() }
    }

    /// Looks at an upload; gives its bytes back with what they are.
    pub(super) async fn ingest(&self, bytes: Vec<u8>) -> Result<(Vec<u8>, Ingested), Refusal> {
        let limits = self.limits;
        self.work(move || ingest(&bytes, &limits).map(|found| (bytes, found))).await
    }

    /// A copy to look at.
    pub(super) async fn copy(&self, bytes: Vec<u8>, max_edge: u32) -> Result<Vec<u8>, Refusal> {
        let limits = self.limits;
        self.work(move || derivative(&bytes, &limits, max_edge)).await
    }

    async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, IngestError> + Send + 'static,
    ) -> Result<T, Refusal> {
        let turn = Arc::clone(&self.turns).acquire_owned().await.map_err(Refusal::internal)?;
        let done = tokio::task::spawn_blocking(move || {
            let outcome = work();
            drop(turn);
            outcome
        });
        done.await.map_err(Refusal::internal)?.map_err(refused)
    }
}

fn refused(error: IngestError) -> Refusal {
    let code = match error {
        IngestError::TooManyBytes { .. } | IngestError::TooManyPixels { .. } => Code::PhotoTooLarge,
        IngestError::Heic | IngestError::UnknownFormat => Code::UnsupportedMediaType,
        IngestError::Unreadable(_) => Code::PhotoUnreadable,
    };
    Refusal::new(code, error.to_string())
}
