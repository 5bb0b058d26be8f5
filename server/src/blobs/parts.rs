//! Bytes that are still on their way: one file each, longer with every piece, gone once they are kept or given up.

use super::BlobError;
use super::folder::{Folder, at};
use handsel_domain::ids::UploadId;
use handsel_domain::time::Instant;
use std::io::{self, SeekFrom};
use std::path::{Path, PathBuf};
use tokio::io::{AsyncSeekExt, AsyncWriteExt};

impl Folder {
    fn part(&self, id: UploadId) -> PathBuf {
        self.root().join("uploads").join(id.to_string())
    }

    /// How many bytes are here; none for a part that was never begun.
    pub(super) async fn length_of(&self, id: UploadId) -> Result<u64, BlobError> {
        let path = self.part(id);
        match tokio::fs::metadata(&path).await {
            Ok(found) => Ok(found.len()),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(0),
            Err(e) => Err(at(&path, &e)),
        }
    }

    pub(super) async fn write_at(&self, id: UploadId, offset: u64, bytes: Vec<u8>) -> Result<(), BlobError> {
        let path = self.part(id);
        let failed = |e: io::Error| at(&path, &e);
        let options = tokio::fs::OpenOptions::new().create(true).write(true).truncate(false).open(&path).await;
        let mut file = options.map_err(failed)?;
        file.seek(SeekFrom::Start(offset)).await.map_err(failed)?;
        file.write_all(&bytes).await.map_err(failed)?;
        file.flush().await.map_err(failed)
    }

    /// Once this is done, what is here survives a machine that goes dark.
    pub(super) async fn settle_part(&self, id: UploadId) -> Result<(), BlobError> {
        let path = self.part(id);
        let file = tokio::fs::File::open(&path).await.map_err(|e| at(&path, &e))?;
        file.sync_all().await.map_err(|e| at(&path, &e))
    }

    pub(super) async fn read_part(&self, id: UploadId) -> Result<Vec<u8>, BlobError> {
        let path = self.part(id);
        tokio::fs::read(&path).await.map_err(|e| at(&path, &e))
    }

    pub(super) async fn drop_part(&self, id: UploadId) -> Result<(), BlobError> {
        remove(&self.part(id)).await
    }

    /// Takes away parts, and files written aside, that nobody has touched since a moment.
    pub(super) async fn sweep_before(&self, before: Instant) -> Result<u64, BlobError> {
        let mut swept = 0;
        for folder in ["uploads", "aside"].map(|name| self.root().join(name)) {
            let mut entries = tokio::fs::read_dir(&folder).await.map_err(|e| at(&folder, &e))?;
            while let Some(entry) = entries.next_entry().await.map_err(|e| at(&folder, &e))? {
                let path = entry.path();
                let touched = match entry.metadata().await.and_then(|m| m.modified()) {
                    Ok(touched) => Instant::from_utc(touched.into()),
                    // Somebody else took it away between listing and looking.
                    Err(e) if e.kind() == io::ErrorKind::NotFound => continue,
                    Err(e) => return Err(at(&path, &e)),
                };
                if touched < before {
                    remove(&path).await?;
                    swept += 1;
                }
            }
        }
        Ok(swept)
    }
}

async fn remove(path: &Path) -> Result<(), BlobError> {
    match tokio::fs::remove_file(path).await {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(at(path, &e)),
        _ => Ok(()),
    }
}
