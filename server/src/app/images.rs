//! Work on pixels: on threads of its own, and only as much at once as its memory bears.

use super::{Code, Refusal};
use handsel_imaging::{Encoding, IngestError, Ingested, Limits, derivative, ingest, look};
use std::sync::Arc;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

const MIB: u64 = 1024 * 1024;
/// What making copies takes beside decoding: the largest copy, turned, and what encoding it needs.
const COPIES_MIB: u64 = 48;

/// Threads for pixels, with one share of memory between them. A photograph takes as many shares (of a mebibyte) as
/// decoding it needs; one that needs more than there are has them all to itself.
#[derive(Clone, Debug)]
pub(super) struct Images {
    shares: Arc<Semaphore>,
    all: u32,
    limits: Limits,
}

impl Images {
    pub(super) fn new(memory_mib: u32) -> Self {
        let shares = Arc::new(Semaphore::new(usize::try_from(memory_mib).unwrap_or(Semaphore::MAX_PERMITS)));
        Self { shares, all: memory_mib, limits: Limits::default() }
    }

    /// Looks at an upload; gives its bytes back with what they are. `declared` is what it was sent as.
    pub(super) async fn ingest(
        &self,
        bytes: Vec<u8>,
        declared: Option<String>,
    ) -> Result<(Vec<u8>, Ingested), Refusal> {
        let limits = self.limits;
        let walking = self.work(1, move || {
            let walked = look(&bytes, &limits, declared.as_deref())?;
            Ok((bytes, walked))
        });
        let (bytes, walked) = walking.await??;
        let decoding = self.work(walked.memory() / MIB, move || {
            let found = ingest(&bytes, &walked, &limits)?;
            Ok((bytes, found))
        });
        Ok(decoding.await??)
    }

    /// A copy to look at.
    pub(super) async fn copy(&self, bytes: Vec<u8>, max_edge: u32, encoding: Encoding) -> Result<Vec<u8>, Refusal> {
        Ok(self.with_pixels(bytes, move |bytes, limits| derivative(bytes, limits, max_edge, encoding)).await??)
    }

    /// Something that decodes a photograph which was taken in before.
    pub(super) async fn with_pixels<T: Send + 'static>(
        &self,
        bytes: Vec<u8>,
        work: impl FnOnce(&[u8], &Limits) -> Result<T, IngestError> + Send + 'static,
    ) -> Result<Result<T, IngestError>, Refusal> {
        let limits = self.limits;
        let walking = self.work(1, move || {
            let walked = look(&bytes, &limits, None)?;
            Ok((bytes, walked.memory() / MIB + COPIES_MIB))
        });
        match walking.await? {
            Ok((bytes, shares)) => self.work(shares, move || work(&bytes, &limits)).await,
            Err(error) => Ok(Err(error)),
        }
    }

    /// Something with pixels that takes so many mebibytes.
    pub(super) async fn work<T: Send + 'static>(
        &self,
        mebibytes: u64,
        work: impl FnOnce() -> Result<T, IngestError> + Send + 'static,
    ) -> Result<Result<T, IngestError>, Refusal> {
        let share = self.share(mebibytes).await?;
        let done = tokio::task::spawn_blocking(move || {
            let outcome = work();
            drop(share);
            outcome
        });
        done.await.map_err(Refusal::internal)
    }

    async fn share(&self, mebibytes: u64) -> Result<OwnedSemaphorePermit, Refusal> {
        let wanted = u32::try_from(mebibytes).unwrap_or(u32::MAX).clamp(1, self.all);
        Arc::clone(&self.shares).acquire_many_owned(wanted).await.map_err(Refusal::internal)
    }
}

impl From<IngestError> for Refusal {
    fn from(error: IngestError) -> Self {
        let code = match error {
            IngestError::Empty => Code::PhotoEmpty,
            IngestError::UnknownFormat { .. } => Code::PhotoUnsupported,
            IngestError::Heic => Code::PhotoHeic,
            IngestError::Avif => Code::PhotoAvif,
            IngestError::Contradicted { .. } => Code::PhotoTypeContradicted,
            IngestError::TooManyBytes { .. } => Code::PhotoTooLarge,
            IngestError::TooManyPixels { .. } => Code::PhotoTooManyPixels,
            IngestError::TooLong { .. } => Code::PhotoTooLong,
            IngestError::NoSize { .. } => Code::PhotoWithoutSize,
            IngestError::TooMuchMemory { .. } => Code::PhotoTooMuchMemory,
            IngestError::Truncated { .. } => Code::PhotoTruncated,
            IngestError::Damaged { .. } => Code::PhotoUnreadable,
            IngestError::Polyglot { .. } => Code::PhotoPolyglot,
            IngestError::Animated => Code::PhotoAnimated,
            IngestError::Inflates { .. } => Code::PhotoInflates,
            IngestError::TooManyScans { .. } => Code::PhotoTooManyScans,
            IngestError::TooMuchMetadata { .. } => Code::PhotoTooMuchMetadata,
            IngestError::Colours(_) => Code::PhotoColours,
            IngestError::Coding(_) => Code::PhotoCoding,
        };
        Self::new(code, sentence(&error))
    }
}

/// The error's words as a sentence.
fn sentence(error: &IngestError) -> String {
    let words = error.to_string();
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().collect::<String>() + letters.as_str() + ".").unwrap_or_default()
}
