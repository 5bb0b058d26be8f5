use handsel_domain::ids::{PhotoId, UploadId};
use handsel_domain::time::Instant;

/// A photograph's bytes on their way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Upload {
    pub id: UploadId,
    pub photo: PhotoId,
    pub length: u64,
    /// All of them came and are kept.
    pub finished: bool,
    pub created_at: Instant,
    pub expires_at: Instant,
}
