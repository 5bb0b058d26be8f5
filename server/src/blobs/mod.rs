//! Photographs by the hash of their content. A name says what is in it: the same bytes are kept once, and what is
//! there never changes.

mod bucket;
mod folder;
mod parts;
mod place;

pub use bucket::Bucket;
pub use folder::Folder;
pub use place::{BlobPlace, BucketPlace};

use futures_util::future::BoxFuture;
use handsel_domain::ids::UploadId;
use handsel_domain::time::Instant;
use std::fmt;

/// Where bytes are kept.
pub trait Blobs: Send + Sync {
    /// Keeps bytes under a name; bytes already there under it stay.
    fn put(&self, name: BlobName, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>>;
    /// The bytes of a name, if there are any.
    fn get(&self, name: BlobName) -> BoxFuture<'_, Result<Option<Vec<u8>>, BlobError>>;
    /// Whether there are bytes of a name.
    fn has(&self, name: BlobName) -> BoxFuture<'_, Result<bool, BlobError>>;
    /// Takes the bytes of a name away, if there are any: they were somebody's, and their time is over.
    fn remove(&self, name: BlobName) -> BoxFuture<'_, Result<(), BlobError>>;
    /// Every name there are bytes of, in order.
    fn names(&self) -> BoxFuture<'_, Result<Vec<BlobName>, BlobError>>;
    /// How many bytes of an upload are here.
    fn part_length(&self, id: UploadId) -> BoxFuture<'_, Result<u64, BlobError>>;
    /// Writes a piece of an upload at its place.
    fn write_part(&self, id: UploadId, offset: u64, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>>;
    /// Makes what was written of an upload stay.
    fn sync_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>>;
    /// Everything of an upload that is here.
    fn part(&self, id: UploadId) -> BoxFuture<'_, Result<Vec<u8>, BlobError>>;
    fn remove_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>>;
    /// Takes away unfinished bytes that nobody has touched since a moment; gives their number.
    fn sweep(&self, before: Instant) -> BoxFuture<'_, Result<u64, BlobError>>;
    /// Whether bytes could be kept now.
    fn ready(&self) -> BoxFuture<'_, Result<(), BlobError>>;
}

/// A failure to reach what is kept.
#[derive(Debug)]
pub struct BlobError(pub String);

impl fmt::Display for BlobError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "blobs: {}", self.0)
    }
}

impl std::error::Error for BlobError {}

/// A name safe to be part of a path: the hash of an original, or of an original with a size.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BlobName(String);

impl BlobName {
    /// An original.
    #[must_use]
    pub fn original(sha256: &str) -> Option<Self> {
        let hash = sha256.len() == 64 && sha256.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
        hash.then(|| Self(sha256.to_owned()))
    }

    /// A copy of an original, or something made from it: `edge`, way of making and kind of file, such as `1600.2.webp`.
    #[must_use]
    pub fn made(sha256: &str, what: &str) -> Option<Self> {
        let plain = !what.is_empty()
            && what.len() <= 120
            && !what.starts_with('.')
            && what.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'.' || b == b'-');
        Self::original(sha256).filter(|_| plain).map(|name| Self(format!("{}.{what}", name.0)))
    }

    /// Either, by its own words.
    #[must_use]
    pub fn read(name: &str) -> Option<Self> {
        match name.split_once('.') {
            Some((sha256, what)) => Self::made(sha256, what),
            None => Self::original(name),
        }
    }

    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The hash that its bytes must have, where they are an original.
    #[must_use]
    pub fn content(&self) -> Option<&str> {
        (!self.0.contains('.')).then_some(self.0.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::BlobName;

    #[test]
    fn a_name_cannot_lead_out_of_its_folder() {
        let hash = "ab".repeat(32);
        assert!(BlobName::original(&hash).is_some());
        assert!(BlobName::made(&hash, "before-0123.1600.2.webp").is_some());
        assert_eq!(BlobName::read(&hash), BlobName::original(&hash));
        assert_eq!(BlobName::read(&format!("{hash}.1600.2.webp")), BlobName::made(&hash, "1600.2.webp"));
        assert_eq!(BlobName::read(&format!("{hash}.")), None);
        for other in ["", "ab", &"AB".repeat(32), &format!("../{}", "a".repeat(61))] {
            assert!(BlobName::original(other).is_none(), "{other}");
        }
        for what in ["", "../x", "a/b", ".hidden", "A", "a b"] {
            assert!(BlobName::made(&hash, what).is_none(), "{what}");
        }
    }
}
