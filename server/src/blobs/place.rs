//! Where photographs are kept.

use super::{BlobError, Blobs, Bucket, Folder};
use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

/// A folder of this machine, or a bucket that speaks the S3 protocol.
#[derive(Clone, Debug)]
pub enum BlobPlace {
    Folder(PathBuf),
    Bucket(BucketPlace),
}

/// A bucket, and what it takes to get in.
#[derive(Clone)]
pub struct BucketPlace {
    pub bucket: String,
    /// What names begin with; empty, or folders apart by `/`.
    pub prefix: String,
    /// Address of the service, without the bucket.
    pub endpoint: String,
    pub region: String,
    pub access_key: String,
    pub secret_key: String,
    /// Folder of this machine for uploads that are under way: pieces of a photograph are no objects yet.
    pub spool: PathBuf,
}

// What opens it is kept out of logs.
impl fmt::Debug for BucketPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("BucketPlace")
            .field("bucket", &self.bucket)
            .field("endpoint", &self.endpoint)
            .finish_non_exhaustive()
    }
}

impl fmt::Display for BlobPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Folder(path) => write!(f, "{}", path.display()),
            Self::Bucket(place) if place.prefix.is_empty() => write!(f, "s3://{}", place.bucket),
            Self::Bucket(place) => write!(f, "s3://{}/{}", place.bucket, place.prefix),
        }
    }
}

impl BlobPlace {
    /// # Errors
    /// A folder cannot be made or used, or the words for the bucket cannot be right. Whether it can be reached, its use
    /// tells: [`Blobs::ready`].
    pub fn open(&self) -> Result<Arc<dyn Blobs>, BlobError> {
        Ok(match self {
            Self::Folder(path) => Arc::new(Folder::open(path)?),
            Self::Bucket(place) => Arc::new(Bucket::open(place)?),
        })
    }
}
