//! The bytes of announced photographs, in pieces, as far as the connection lets them. What came stays, whatever breaks
//! off, and the last piece makes the photograph arrive.

use super::photos::{Arrived, arrive};
use super::{App, Caller, Code, Refusal, photos};
use crate::blobs::BlobName;
use crate::store::record::{PhotoFile, Upload};
use crate::store::{photo, upload};
use futures_util::{Stream, StreamExt};
use handsel_domain::ids::{PhotoId, UploadId};
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::Notify;
use tokio::time::sleep;

/// How long an upload may take.
const DAYS: i64 = 7;
/// How long a connection may say nothing before it counts as lost.
const SILENCE: Duration = Duration::from_secs(60);
/// How often, and how many times, a later connection looks whether the earlier one has let go.
const LOOK: Duration = Duration::from_millis(50);
const LOOKS: u32 = 100;

/// How far an upload has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    pub id: UploadId,
    pub offset: u64,
    pub length: u64,
    pub expires_at: Instant,
    /// The photograph is here; nothing more is to be sent.
    pub arrived: bool,
}

impl Progress {
    const fn of(upload: &Upload, offset: u64) -> Self {
        let Upload { id, length, expires_at, finished, .. } = *upload;
        Self { id, offset: if finished { length } else { offset }, length, expires_at, arrived: finished }
    }
}

/// Uploads that somebody is at. Two connections never write one at the same time: the later one takes over, as the
/// earlier may be one that a telephone lost without a word.
#[derive(Clone, Debug, Default)]
pub(super) struct Busy(Arc<Mutex<BTreeMap<UploadId, Arc<Notify>>>>);

#[derive(Debug)]
struct Held {
    busy: Busy,
    id: UploadId,
    /// Told when somebody else wants to take over.
    let_go: Arc<Notify>,
}

impl Busy {
    async fn hold(&self, id: UploadId) -> Result<Held, Refusal> {
        for _ in 0..LOOKS {
            match self.try_hold(id) {
                Ok(held) => return Ok(held),
                Err(other) => other.notify_one(),
            }
            sleep(LOOK).await;
        }
        Err(Refusal::new(
            Code::UploadBusy,
            "Another connection is at this upload. Wait a moment, and ask how far it is.",
        ))
    }

    fn try_hold(&self, id: UploadId) -> Result<Held, Arc<Notify>> {
        match self.0.lock().unwrap_or_else(PoisonError::into_inner).entry(id) {
            Entry::Occupied(other) => Err(Arc::clone(other.get())),
            Entry::Vacant(free) => {
                let let_go = Arc::clone(free.insert(Arc::default()));
                Ok(Held { busy: self.clone(), id, let_go })
            }
        }
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        self.busy.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.id);
    }
}

/// Begins to take in the bytes of an announced photograph. Earlier attempts at the same one are given up.
pub async fn begin(app: &App, caller: &Caller, of: PhotoId, length: u64) -> Result<Progress, Refusal> {
    caller.must(Action::RecordInspection)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let file = photo::find(&tx, caller.scope, of).await?;
    let file = file.ok_or_else(|| Refusal::not_found("photograph: tell of it by an operation first"))?;
    let announced = file.photo.bytes;
    if length != announced {
        return Err(Refusal::new(
            Code::UploadDiffers,
            format!("{announced} bytes were announced for this photograph, not {length}: send the announced file."),
        ));
    }
    let given_up = upload::remove_of(&tx, of).await?;
    let begun = Upload {
        id: UploadId(app.effects.ids.next()),
        photo: of,
        length,
        finished: file.photo.arrived_at.is_some(),
        created_at: now,
        expires_at: now.plus_seconds(DAYS * 86_400),
    };
    upload::insert(&tx, &begun).await?;
    tx.commit().await?;
    for id in given_up {
        app.blobs.remove_part(id).await?;
    }
    Ok(Progress::of(&begun, 0))
}

async fn reached(app: &App, caller: &Caller, id: UploadId) -> Result<(Upload, PhotoFile), Refusal> {
    caller.must(Action::RecordInspection)?;
    let gone = || Refusal::not_found("upload, or it ran out: begin another");
    let tx = app.store.read().await?;
    let found = upload::find(&tx, id).await?.filter(|u| u.expires_at > app.effects.now()).ok_or_else(gone)?;
    let file = photo::find(&tx, caller.scope, found.photo).await?.ok_or_else(gone)?;
    Ok((found, file))
}

/// How far an upload is. One whose last piece came, but which a crash kept from being finished, is finished now.
pub async fn progress(app: &App, caller: &Caller, id: UploadId) -> Result<Progress, Refusal> {
    let (found, _) = reached(app, caller, id).await?;
    if found.finished {
        return Ok(Progress::of(&found, found.length));
    }
    let offset = app.blobs.part_length(id).await?;
    if offset < found.length {
        return Ok(Progress::of(&found, offset));
    }
    let _held = app.uploads.hold(id).await?;
    // Whoever held it may have finished it meanwhile.
    let (found, file) = reached(app, caller, id).await?;
    if found.finished {
        return Ok(Progress::of(&found, found.length));
    }
    finish(app, found, file).await
}

/// Takes a piece in. Without a hash to check, what came stays even if the connection breaks off in the middle.
pub async fn add<S, B>(
    app: &App,
    caller: &Caller,
    id: UploadId,
    offset: u64,
    wanted: Option<[u8; 32]>,
    mut pieces: S,
) -> Result<Progress, Refusal>
where
    S: Stream<Item = Result<B, String>> + Unpin,
    B: AsRef<[u8]>,
{
    // Looked at before anybody is made to let go of it, and again once they have: they may have finished it.
    let (found, _) = reached(app, caller, id).await?;
    if found.finished {
        // The answer to the last piece was lost: it is given again.
        return Ok(Progress::of(&found, found.length));
    }
    let held = app.uploads.hold(id).await?;
    let (found, file) = reached(app, caller, id).await?;
    if found.finished {
        return Ok(Progress::of(&found, found.length));
    }
    let here = app.blobs.part_length(id).await?;
    if here != offset {
        return Err(Refusal::new(
            Code::UploadOffset,
            format!("{here} bytes are here, and this piece begins at {offset}: go on from {here}."),
        )
        .and("offset", here));
    }
    let mut place = here;
    let mut checked = Vec::new();
    let mut broken = None;
    loop {
        let next = tokio::select! {
            next = pieces.next() => next,
            () = held.let_go.notified() => Some(Err("another connection took over".to_owned())),
            () = sleep(SILENCE) => Some(Err("nothing came for a while".to_owned())),
        };
        let piece = match next {
            None => break,
            Some(Ok(piece)) => piece,
            Some(Err(why)) => {
                broken = Some(why);
                break;
            }
        };
        let bytes = piece.as_ref();
        let came = u64::try_from(bytes.len() + checked.len()).map_err(Refusal::internal)?;
        if place + came > found.length {
            return Err(Refusal::new(
                Code::BodyTooLarge,
                format!("The upload has {} bytes in all, and this piece goes beyond them.", found.length),
            ));
        }
        if wanted.is_some() {
            checked.extend_from_slice(bytes);
        } else {
            app.blobs.write_part(id, place, bytes.to_vec()).await?;
            place += came;
        }
    }
    if let (Some(wanted), None) = (wanted, &broken) {
        if Sha256::digest(&checked)[..] != wanted {
            return Err(Refusal::new(Code::UploadChecksum, "The piece was damaged on its way: send it again."));
        }
        let came = u64::try_from(checked.len()).map_err(Refusal::internal)?;
        app.blobs.write_part(id, place, checked).await?;
        place += came;
    }
    if place > here {
        app.blobs.sync_part(id).await?;
    }
    if let Some(why) = broken {
        return Err(Refusal::new(
            Code::BodyInvalid,
            format!("The piece broke off: {why}. Ask how far it is, and go on."),
        ));
    }
    if place < found.length { Ok(Progress::of(&found, place)) } else { finish(app, found, file).await }
}

/// Everything came: it is kept as the photograph, or given up when it is not the one that was announced.
async fn finish(app: &App, found: Upload, file: PhotoFile) -> Result<Progress, Refusal> {
    match arrived(app, &found, file).await {
        Ok(()) => {}
        // The server's own trouble: what came stays, to be finished later.
        Err(trouble) if trouble.code == Code::Internal => return Err(trouble),
        Err(refusal) => {
            remove(app, found.id).await?;
            return Err(refusal);
        }
    }
    app.blobs.remove_part(found.id).await?;
    app.wake.notify_one();
    Ok(Progress::of(&Upload { finished: true, ..found }, found.length))
}

async fn arrived(app: &App, found: &Upload, file: PhotoFile) -> Result<(), Refusal> {
    let bytes = app.blobs.part(found.id).await?;
    let sha256 = hex::encode(Sha256::digest(&bytes));
    // Told before it is read: other bytes may be no photograph at all.
    photos::must_be_announced(&file, &sha256)?;
    let (bytes, read) = app.images.ingest(bytes, Some(file.media_type.clone())).await?;
    let name =
        BlobName::original(&read.sha256).ok_or_else(|| Refusal::internal("an ingested photograph has no hash"))?;
    app.blobs.put(name, bytes).await?;
    let came = Arrived {
        sha256: read.sha256,
        width: read.width,
        height: read.height,
        media_type: read.media_type,
        at: app.effects.now(),
    };
    let tx = app.store.write().await?;
    let known = photo::known(&tx, file.photo.id).await?;
    let known = known.ok_or_else(|| Refusal::not_found("photograph: it was taken back meanwhile"))?;
    arrive(&tx, known, &came).await?;
    upload::finish(&tx, found.id).await?;
    Ok(tx.commit().await?)
}

/// Gives an upload up.
pub async fn end(app: &App, caller: &Caller, id: UploadId) -> Result<(), Refusal> {
    reached(app, caller, id).await?;
    let _held = app.uploads.hold(id).await?;
    remove(app, id).await
}

async fn remove(app: &App, id: UploadId) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    upload::remove(&tx, id).await?;
    tx.commit().await?;
    Ok(app.blobs.remove_part(id).await?)
}
