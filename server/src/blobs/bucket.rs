//! A bucket that speaks the S3 protocol, so that several servers share photographs and none has to keep them.

use super::{BlobError, BlobName, Blobs, BucketPlace, Folder};
use futures_util::future::BoxFuture;
use futures_util::{FutureExt, TryStreamExt};
use handsel_domain::ids::UploadId;
use handsel_domain::time::Instant;
use object_store::aws::{AmazonS3, AmazonS3Builder};
use object_store::path::Path;
use object_store::{ClientOptions, Error, ObjectStore, ObjectStoreExt, RetryConfig};
use std::fmt;
use std::time::Duration;

/// How long one request may take: a photograph of 50 MB over a slow line.
const PATIENCE: Duration = Duration::from_secs(120);
/// How long it is tried again when the service stumbles: somebody may be waiting for the answer.
const TRIES: Duration = Duration::from_secs(10);

/// Keeps bytes as objects, under the names a [`Folder`] would give their files: one can be copied into the other.
pub struct Bucket {
    objects: AmazonS3,
    prefix: Path,
    spool: Folder,
}

impl fmt::Debug for Bucket {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Bucket").field("objects", &self.objects).finish_non_exhaustive()
    }
}

impl Bucket {
    /// # Errors
    /// The words for the bucket cannot be right, or the folder for uploads cannot be made.
    pub fn open(place: &BucketPlace) -> Result<Self, BlobError> {
        let retry = RetryConfig { max_retries: 3, retry_timeout: TRIES, ..RetryConfig::default() };
        let plain = place.endpoint.starts_with("http://");
        let client = ClientOptions::new().with_timeout(PATIENCE).with_allow_http(plain);
        let objects = AmazonS3Builder::new()
            .with_endpoint(place.endpoint.trim_end_matches('/'))
            .with_bucket_name(&place.bucket)
            .with_region(&place.region)
            .with_access_key_id(&place.access_key)
            .with_secret_access_key(&place.secret_key)
            .with_client_options(client)
            .with_retry(retry)
            .build()
            .map_err(|e| BlobError(format!("the bucket {}: {e}", place.bucket)))?;
        let prefix = Path::parse(&place.prefix).map_err(|e| BlobError(format!("the bucket {}: {e}", place.bucket)))?;
        Ok(Self { objects, prefix, spool: Folder::open(&place.spool)? })
    }

    fn path(&self, name: &BlobName) -> Path {
        let name = name.as_str();
        self.prefix.clone().join(name.get(..2).unwrap_or("00")).join(name)
    }

    async fn there(&self, path: &Path) -> Result<bool, BlobError> {
        match self.objects.head(path).await {
            Ok(_) => Ok(true),
            Err(Error::NotFound { .. }) => Ok(false),
            Err(e) => Err(at(path, &e)),
        }
    }
}

fn at(path: &Path, error: &Error) -> BlobError {
    BlobError(format!("{path}: {error}"))
}

impl Blobs for Bucket {
    fn put(&self, name: BlobName, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>> {
        async move {
            let path = self.path(&name);
            if self.there(&path).await? {
                return Ok(());
            }
            self.objects.put(&path, bytes.into()).await.map_err(|e| at(&path, &e))?;
            Ok(())
        }
        .boxed()
    }

    fn get(&self, name: BlobName) -> BoxFuture<'_, Result<Option<Vec<u8>>, BlobError>> {
        async move {
            let path = self.path(&name);
            match self.objects.get(&path).await {
                Ok(found) => Ok(Some(found.bytes().await.map_err(|e| at(&path, &e))?.into())),
                Err(Error::NotFound { .. }) => Ok(None),
                Err(e) => Err(at(&path, &e)),
            }
        }
        .boxed()
    }

    fn has(&self, name: BlobName) -> BoxFuture<'_, Result<bool, BlobError>> {
        async move { self.there(&self.path(&name)).await }.boxed()
    }

    fn remove(&self, name: BlobName) -> BoxFuture<'_, Result<(), BlobError>> {
        async move {
            let path = self.path(&name);
            match self.objects.delete(&path).await {
                Ok(()) | Err(Error::NotFound { .. }) => Ok(()),
                Err(e) => Err(at(&path, &e)),
            }
        }
        .boxed()
    }

    fn names(&self) -> BoxFuture<'_, Result<Vec<BlobName>, BlobError>> {
        async move {
            // What else lies in the bucket was put there by somebody else.
            let named = self.objects.list(Some(&self.prefix)).try_filter_map(|object| async move {
                Ok(object
                    .location
                    .filename()
                    .and_then(BlobName::read)
                    .filter(|name| self.path(name) == object.location))
            });
            let mut names: Vec<BlobName> = named.try_collect().await.map_err(|e| at(&self.prefix, &e))?;
            names.sort();
            Ok(names)
        }
        .boxed()
    }

    fn part_length(&self, id: UploadId) -> BoxFuture<'_, Result<u64, BlobError>> {
        self.spool.part_length(id)
    }

    fn write_part(&self, id: UploadId, offset: u64, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>> {
        self.spool.write_part(id, offset, bytes)
    }

    fn sync_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>> {
        self.spool.sync_part(id)
    }

    fn part(&self, id: UploadId) -> BoxFuture<'_, Result<Vec<u8>, BlobError>> {
        Blobs::part(&self.spool, id)
    }

    fn remove_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>> {
        self.spool.remove_part(id)
    }

    fn sweep(&self, before: Instant) -> BoxFuture<'_, Result<u64, BlobError>> {
        self.spool.sweep(before)
    }

    fn ready(&self) -> BoxFuture<'_, Result<(), BlobError>> {
        async move {
            // Nothing has this name: that the service can say so is all that is asked.
            self.there(&self.prefix.clone().join("ready")).await?;
            self.spool.ready().await
        }
        .boxed()
    }
}
