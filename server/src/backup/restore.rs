//! Putting a backup back.

use super::manifest::{Manifest, Part};
use super::{BackupError, DATABASE, PHOTOS, SEAL_KEY, sqlite};
use crate::blobs::{BlobName, Blobs, Folder};
use crate::config::Places;
use crate::seal_file;
use crate::store::copy::{Rows, copy, count};
use crate::store::{Store, StoreError};
use handsel_domain::time::Instant;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::path::Path;

/// What was put back.
#[derive(Debug)]
pub struct Restored {
    pub taken_at: Instant,
    pub rows: Rows,
    pub photos: usize,
}

/// Puts a backup back where nothing is kept yet. It is checked whole before anything is written, and the rows come last
/// and all at once: what breaks off can be begun again.
///
/// # Errors
/// The backup is not whole or not as it was taken, something is kept already where it is to go, or something cannot be
/// read or written.
pub async fn restore(from: &Path, places: &Places) -> Result<Restored, BackupError> {
    let manifest = Manifest::read(from)?;
    if !Store::knows(&manifest.schema) {
        let why =
            format!("its rows have the schema {}, which this program does not know: use a newer one", manifest.schema);
        return Err(BackupError::of(from.display().to_string(), why));
    }
    let backup = Folder::open(&from.join(PHOTOS)).map_err(BackupError::at(from))?;
    let names = names(&manifest)?;
    check(from, &manifest, &backup, &names).await?;

    let photos = places.blobs.open().map_err(|e| BackupError::of(places.blobs.to_string(), e))?;
    only_these(&*photos, &names, places).await?;
    let key_file = from.join(SEAL_KEY);
    let key = std::fs::read_to_string(&key_file).map_err(BackupError::at(&key_file))?;
    no_other_key(&places.seal_key, &key)?;

    // Brought up to date apart: the backup stays as it was taken.
    let apart = tempfile::TempDir::new().map_err(|e| BackupError::of("a folder to work in", e))?;
    let working = apart.path().join(DATABASE);
    let database = from.join(DATABASE);
    std::fs::copy(&database, &working).map_err(BackupError::at(&database))?;
    let rows = Store::open(&sqlite(&working)).await.map_err(BackupError::at(&database))?;
    let failed = |e: StoreError| BackupError::of("the database cannot be filled", e);
    let store = Store::open(&places.database_url).await.map_err(failed)?;
    let write = store.write().await.map_err(failed)?;
    empty(&count(&write).await.map_err(failed)?)?;

    for name in &names {
        let Some(bytes) = backup.get(name.clone()).await.map_err(BackupError::at(from))? else {
            return Err(BackupError::of(from.join(PHOTOS).join(name.as_str()).display().to_string(), "it has gone"));
        };
        put(&*photos, name, bytes, places).await?;
    }
    match seal_file::write(&places.seal_key, &key) {
        Err(error) if error.kind() != ErrorKind::AlreadyExists => {
            return Err(BackupError::of(places.seal_key.display().to_string(), error));
        }
        _ => {}
    }
    let read = rows.snapshot().await.map_err(failed)?;
    let copied = copy(&read, &write).await.map_err(failed)?;
    write.commit().await.map_err(failed)?;
    drop(read);
    store.close().await.map_err(failed)?;
    rows.close().await.map_err(failed)?;
    Ok(Restored { taken_at: manifest.taken_at, rows: copied, photos: names.len() })
}

fn names(manifest: &Manifest) -> Result<Vec<BlobName>, BackupError> {
    let name = |name: &String| {
        BlobName::read(name).ok_or_else(|| BackupError::of("backup.json", format!("`{name}` is no photograph's name")))
    };
    manifest.photos.keys().map(name).collect()
}

/// Everything is there and as it was taken.
async fn check(from: &Path, manifest: &Manifest, backup: &Folder, names: &[BlobName]) -> Result<(), BackupError> {
    let changed = "it is no longer as it was when the backup was taken: take another backup, from another day";
    for (name, part) in [(DATABASE, &manifest.database), (SEAL_KEY, &manifest.seal_key)] {
        let path = from.join(name);
        if Part::of_file(&path).map_err(BackupError::at(&path))? != *part {
            return Err(BackupError::of(path.display().to_string(), changed));
        }
    }
    for (name, part) in names.iter().zip(manifest.photos.values()) {
        let found = backup.get(name.clone()).await.map_err(BackupError::at(from))?;
        let why = match found.map(|bytes| Part::of(&bytes)) {
            Some(found) if found == *part => continue,
            Some(_) => changed,
            None => "it is not there: take another backup, from another day",
        };
        return Err(BackupError::of(from.join(PHOTOS).join(name.as_str()).display().to_string(), why));
    }
    Ok(())
}

/// What is kept there already came with this backup, when it was put back before and that broke off.
async fn only_these(photos: &dyn Blobs, names: &[BlobName], places: &Places) -> Result<(), BackupError> {
    let known: BTreeSet<&BlobName> = names.iter().collect();
    let there = photos.names().await.map_err(|e| BackupError::of(places.blobs.to_string(), e))?;
    match there.iter().filter(|name| !known.contains(name)).count() {
        0 => Ok(()),
        others => Err(BackupError::of(
            places.blobs.to_string(),
            format!(
                "{others} photographs are there that the backup does not have: nothing is overwritten, so name an \
                     empty place in HANDSEL_BLOBS"
            ),
        )),
    }
}

/// One that is there already must be the same: it is not overwritten, and nothing else is taken for it.
async fn put(photos: &dyn Blobs, name: &BlobName, bytes: Vec<u8>, places: &Places) -> Result<(), BackupError> {
    let failed = |e| BackupError::of(places.blobs.to_string(), e);
    match photos.get(name.clone()).await.map_err(failed)? {
        None => photos.put(name.clone(), bytes).await.map_err(failed),
        Some(there) if there == bytes => Ok(()),
        Some(_) => Err(BackupError::of(
            places.blobs.to_string(),
            format!("{} is there with other bytes: nothing is overwritten, so move it away", name.as_str()),
        )),
    }
}

fn no_other_key(path: &Path, key: &str) -> Result<(), BackupError> {
    match std::fs::read_to_string(path) {
        Ok(there) if there == key => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Ok(_) => Err(BackupError::of(
            path.display().to_string(),
            "another key is there: nothing is overwritten, so move it away or name another file in HANDSEL_SEAL_KEY",
        )),
        Err(error) => Err(BackupError::of(path.display().to_string(), error)),
    }
}

fn empty(rows: &Rows) -> Result<(), BackupError> {
    let kept: Vec<String> =
        rows.iter().filter(|(_, count)| **count > 0).map(|(table, count)| format!("{count} of {table}")).collect();
    if kept.is_empty() {
        return Ok(());
    }
    let why = format!("it holds {} already: nothing is overwritten, so name an empty one", kept.join(", "));
    Err(BackupError::of("the database of HANDSEL_DATABASE_URL", why))
}
