//! A folder on this machine.

use super::{BlobError, BlobName, Blobs};
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use handsel_domain::ids::UploadId;
use handsel_domain::time::Instant;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use tokio::io::AsyncWriteExt;

/// Keeps bytes in a folder, two letters of the name to a folder of their own. Written aside and renamed: after a
/// crash a name is there whole or not at all.
#[derive(Debug)]
pub struct Folder {
    root: PathBuf,
    process: u32,
    written: AtomicU64,
}

impl Folder {
    /// # Errors
    /// The folder cannot be made.
    pub fn open(root: &Path) -> Result<Self, BlobError> {
        for name in ["aside", "uploads"] {
            std::fs::create_dir_all(root.join(name)).map_err(|e| at(root, &e))?;
        }
        Ok(Self { root: root.to_owned(), process: std::process::id(), written: AtomicU64::new(0) })
    }

    pub(super) fn root(&self) -> &Path {
        &self.root
    }

    fn path(&self, name: &BlobName) -> PathBuf {
        let name = name.as_str();
        self.root.join(name.get(..2).unwrap_or("00")).join(name)
    }

    fn aside(&self) -> PathBuf {
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        self.root.join("aside").join(format!("{}-{number}", self.process))
    }

    async fn write(&self, name: &BlobName, bytes: &[u8]) -> Result<(), BlobError> {
        let path = self.path(name);
        if tokio::fs::try_exists(&path).await.map_err(|e| at(&path, &e))? {
            return Ok(());
        }
        let aside = self.aside();
        let mut file = tokio::fs::File::create(&aside).await.map_err(|e| at(&aside, &e))?;
        file.write_all(bytes).await.map_err(|e| at(&aside, &e))?;
        file.sync_all().await.map_err(|e| at(&aside, &e))?;
        drop(file);
        if let Some(parent) = path.parent() {
            tokio::fs::create_dir_all(parent).await.map_err(|e| at(parent, &e))?;
        }
        tokio::fs::rename(&aside, &path).await.map_err(|e| at(&path, &e))
    }
}

impl Folder {
    /// What else lies in the folder was put there by somebody else.
    async fn list(&self) -> Result<Vec<BlobName>, BlobError> {
        let mut names = Vec::new();
        let mut folders = entries(&self.root).await?;
        folders.retain(|folder| folder.is_dir() && folder.file_name().is_some_and(|name| name.len() == 2));
        for folder in folders {
            let files = entries(&folder).await?;
            let named = files.iter().filter_map(|file| BlobName::read(file.file_name()?.to_str()?));
            names.extend(named);
        }
        names.sort();
        Ok(names)
    }
}

async fn entries(folder: &Path) -> Result<Vec<PathBuf>, BlobError> {
    let mut found = Vec::new();
    let mut entries = tokio::fs::read_dir(folder).await.map_err(|e| at(folder, &e))?;
    while let Some(entry) = entries.next_entry().await.map_err(|e| at(folder, &e))? {
        found.push(entry.path());
    }
    Ok(found)
}

pub(super) fn at(path: &Path, error: &io::Error) -> BlobError {
    BlobError(format!("{}: {error}", path.display()))
}

impl Blobs for Folder {
    fn put(&self, name: BlobName, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>> {
        async move { self.write(&name, &bytes).await }.boxed()
    }

    fn get(&self, name: BlobName) -> BoxFuture<'_, Result<Option<Vec<u8>>, BlobError>> {
        async move {
            let path = self.path(&name);
            match tokio::fs::read(&path).await {
                Ok(bytes) => Ok(Some(bytes)),
                Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
                Err(e) => Err(at(&path, &e)),
            }
        }
        .boxed()
    }

    fn has(&self, name: BlobName) -> BoxFuture<'_, Result<bool, BlobError>> {
        async move {
            let path = self.path(&name);
            tokio::fs::try_exists(&path).await.map_err(|e| at(&path, &e))
        }
        .boxed()
    }

    fn remove(&self, name: BlobName) -> BoxFuture<'_, Result<(), BlobError>> {
        async move {
            let path = self.path(&name);
            match tokio::fs::remove_file(&path).await {
                Err(e) if e.kind() != io::ErrorKind::NotFound => Err(at(&path, &e)),
                _ => Ok(()),
            }
        }
        .boxed()
    }

    fn names(&self) -> BoxFuture<'_, Result<Vec<BlobName>, BlobError>> {
        self.list().boxed()
    }

    fn part_length(&self, id: UploadId) -> BoxFuture<'_, Result<u64, BlobError>> {
        self.length_of(id).boxed()
    }

    fn write_part(&self, id: UploadId, offset: u64, bytes: Vec<u8>) -> BoxFuture<'_, Result<(), BlobError>> {
        self.write_at(id, offset, bytes).boxed()
    }

    fn sync_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>> {
        self.settle_part(id).boxed()
    }

    fn part(&self, id: UploadId) -> BoxFuture<'_, Result<Vec<u8>, BlobError>> {
        self.read_part(id).boxed()
    }

    fn remove_part(&self, id: UploadId) -> BoxFuture<'_, Result<(), BlobError>> {
        self.drop_part(id).boxed()
    }

    fn sweep(&self, before: Instant) -> BoxFuture<'_, Result<u64, BlobError>> {
        self.sweep_before(before).boxed()
    }

    fn ready(&self) -> BoxFuture<'_, Result<(), BlobError>> {
        async move {
            let probe = self.aside();
            tokio::fs::write(&probe, b"").await.map_err(|e| at(&probe, &e))?;
            tokio::fs::remove_file(&probe).await.map_err(|e| at(&probe, &e))
        }
        .boxed()
    }
}
