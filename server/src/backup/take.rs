//! Taking a backup.

use super::manifest::{FORMAT, Manifest, Part};
use super::{BackupError, DATABASE, PHOTOS, SEAL_KEY, sqlite};
use crate::blobs::{BlobError, BlobName, BlobPlace, Blobs, Folder};
use crate::config::Places;
use crate::effects::Effects;
use crate::store::copy::{Rows, copy};
use crate::store::{Store, StoreError};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{DirBuilder, OpenOptions};
use std::io::{ErrorKind, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::Path;

/// What was copied.
#[derive(Debug)]
pub struct Taken {
    pub rows: Rows,
    pub photos: usize,
    pub bytes: u64,
    /// Photographs whose bytes are no longer those they were named after. They are copied as they are.
    pub damaged: Vec<String>,
}

/// Copies everything that is kept into a folder that is new or empty. The server may go on serving: the rows are those of
/// one moment, and every photograph they speak of is there.
///
/// # Errors
/// Something cannot be read or written. What was copied until then stays, and is no backup.
pub async fn take(places: &Places, to: &Path, effects: &Effects) -> Result<Taken, BackupError> {
    let store =
        Store::open_as_is(&places.database_url).await.map_err(|e| BackupError::of("the database cannot be read", e))?;
    // Opening a folder makes it.
    if matches!(&places.blobs, BlobPlace::Folder(path) if !path.is_dir()) {
        return Err(BackupError::of(places.blobs.to_string(), "there is no such folder of photographs"));
    }
    let key = std::fs::read(&places.seal_key).map_err(|e| BackupError::of(places.seal_key.display().to_string(), e))?;
    let from = places.blobs.open().map_err(|e| BackupError::of("the photographs cannot be read", e))?;
    fresh(to)?;
    let into = Folder::open(&to.join(PHOTOS)).map_err(BackupError::at(to))?;
    let mut photos = Photos { from: &*from, into: &into, copied: BTreeMap::new(), damaged: Vec::new() };
    let unread = |e| BackupError::of("the photographs cannot be copied", e);
    // Most are copied before the rows, so that hardly any are left after them; a row never comes before its photograph.
    photos.copy().await.map_err(unread)?;
    let (taken_at, database) = (effects.now(), to.join(DATABASE));
    let rows = rows(&store, &database).await.map_err(|e| BackupError::of("the rows cannot be copied", e))?;
    photos.copy().await.map_err(unread)?;
    store.close().await.map_err(|e| BackupError::of("the database", e))?;
    write_key(&to.join(SEAL_KEY), &key)?;
    let bytes = photos.copied.values().map(|part| part.bytes).sum();
    let taken = Taken { rows: rows.clone(), photos: photos.copied.len(), bytes, damaged: photos.damaged };
    let manifest = Manifest {
        format: FORMAT.to_owned(),
        taken_at,
        schema: Store::schema(),
        rows,
        database: Part::of_file(&database).map_err(BackupError::at(&database))?,
        seal_key: Part::of(&key),
        photos: photos.copied,
    };
    manifest.write(to)?;
    Ok(taken)
}

/// Makes the folder, for its owner alone: it will hold what hirers told, and the key.
fn fresh(folder: &Path) -> Result<(), BackupError> {
    match std::fs::read_dir(folder).map(|mut entries| entries.next().is_some()) {
        Ok(true) => Err(BackupError::of(
            folder.display().to_string(),
            "it is not empty: a backup goes into a folder of its own, which may be new",
        )),
        Ok(false) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            DirBuilder::new().recursive(true).mode(0o700).create(folder).map_err(BackupError::at(folder))
        }
        Err(error) => Err(BackupError::of(folder.display().to_string(), error)),
    }
}

async fn rows(from: &Store, file: &Path) -> Result<Rows, StoreError> {
    let into = Store::open(&sqlite(file)).await?;
    let (read, write) = (from.snapshot().await?, into.write().await?);
    let rows = copy(&read, &write).await?;
    write.commit().await?;
    into.close().await?;
    Ok(rows)
}

struct Photos<'a> {
    from: &'a dyn Blobs,
    into: &'a Folder,
    copied: BTreeMap<String, Part>,
    damaged: Vec<String>,
}

impl Photos<'_> {
    /// Copies those that are not copied yet, and takes away those that were erased since: their time was over.
    async fn copy(&mut self) -> Result<(), BlobError> {
        let names: BTreeSet<BlobName> = self.from.names().await?.into_iter().collect();
        for name in self.into.names().await?.into_iter().filter(|name| !names.contains(name)) {
            self.copied.remove(name.as_str());
            self.into.remove(name).await?;
        }
        for name in names {
            if self.copied.contains_key(name.as_str()) {
                continue;
            }
            // Erased between listing and reading.
            let Some(bytes) = self.from.get(name.clone()).await? else { continue };
            let part = Part::of(&bytes);
            if name.content().is_some_and(|hash| hash != part.sha256) {
                self.damaged.push(name.as_str().to_owned());
            }
            self.copied.insert(name.as_str().to_owned(), part);
            self.into.put(name, bytes).await?;
        }
        Ok(())
    }
}

fn write_key(path: &Path, key: &[u8]) -> Result<(), BackupError> {
    let mut file =
        OpenOptions::new().write(true).create_new(true).mode(0o600).open(path).map_err(BackupError::at(path))?;
    file.write_all(key).and_then(|()| file.sync_all()).map_err(BackupError::at(path))
}

#[cfg(test)]
mod tests {
    use super::*;
    use tempfile::TempDir;

    #[tokio::test]
    async fn what_is_erased_meanwhile_is_not_kept() {
        let (there, here) = (TempDir::new().unwrap(), TempDir::new().unwrap());
        let (from, into) = (Folder::open(there.path()).unwrap(), Folder::open(here.path()).unwrap());
        let name = |byte: &str| BlobName::original(&byte.repeat(32)).unwrap();
        for byte in ["ab", "cd"] {
            from.put(name(byte), byte.into()).await.unwrap();
        }
        let mut photos = Photos { from: &from, into: &into, copied: BTreeMap::new(), damaged: Vec::new() };
        photos.copy().await.unwrap();
        assert_eq!(photos.copied.len(), 2);
        from.remove(name("ab")).await.unwrap();
        from.put(name("ef"), b"ef".to_vec()).await.unwrap();
        photos.copy().await.unwrap();
        assert_eq!(into.names().await.unwrap(), [name("cd"), name("ef")]);
        assert_eq!(photos.copied.keys().cloned().collect::<Vec<_>>(), ["cd".repeat(32), "ef".repeat(32)]);
        // Their bytes are not what they are named after.
        assert_eq!(photos.damaged.len(), 3);
    }
}
