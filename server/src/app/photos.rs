use super::once::{Made, id_taken};
use super::open_walk::Walk;
use super::{App, Caller, Code, Fault, Refusal};
use crate::blobs::{BlobError, BlobName};
use crate::store::record::{PhotoFile, PhotoView};
use crate::store::{Tx, mark, photo, walk};
use handsel_domain::ids::{InspectionId, PhotoId};
use handsel_domain::inspection::PhotoSubject;
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;
use serde::Deserialize;
use utoipa::ToSchema;

/// A photograph on its way in.
#[derive(Debug)]
pub struct Upload {
    pub id: PhotoId,
    pub subject: PhotoSubject,
    pub taken_at: Instant,
    pub bytes: Vec<u8>,
}

/// A copy to look at, by its longest edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// 320 pixels.
    List,
    /// 1600 pixels.
    Screen,
    /// 4000 pixels.
    Zoom,
}

impl Size {
    const fn max_edge(self) -> u32 {
        match self {
            Self::List => 320,
            Self::Screen => 1600,
            Self::Zoom => 4000,
        }
    }
}

impl From<BlobError> for Refusal {
    fn from(error: BlobError) -> Self {
        Self::internal(error)
    }
}

#[must_use]
pub fn not_a_mark(key: &str) -> Refusal {
    Refusal::new(Code::QueryInvalid, format!("key=`{key}` is not the id of a mark: with of=mark it is a UUID."))
        .with(vec![Fault::new("key", "use the id of the mark")])
}

/// Whether a photograph of this may be added, before its bytes are taken in.
pub async fn may_add(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    id: PhotoId,
    subject: &PhotoSubject,
) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let tx = app.store.read().await?;
    let walk = Walk::read(&tx, caller, of).await?;
    // One that is here already is answered as before, also once the inspection is signed.
    if photo::known(&tx, id).await?.is_some() { Ok(()) } else { check(&walk, subject) }
}

fn check(walk: &Walk, subject: &PhotoSubject) -> Result<(), Refusal> {
    walk.must_be_open()?;
    let there = match subject {
        PhotoSubject::Viewpoint { viewpoint } => walk.asked.viewpoint(viewpoint).is_some(),
        PhotoSubject::Checkpoint { checkpoint } => {
            walk.asked.checkpoint(checkpoint).is_some() || walk.asked.item(checkpoint).is_some()
        }
        // Its photographs may arrive before the mark does.
        PhotoSubject::Mark { .. } => true,
    };
    if there {
        Ok(())
    } else {
        Err(Refusal::value("key", "this walk-round asks nothing of that name: use a key of its template"))
    }
}

/// Keeps a photograph as it came.
pub async fn put(app: &App, caller: &Caller, of: InspectionId, upload: Upload) -> Result<Made<PhotoView>, Refusal> {
    caller.must(Action::RecordInspection)?;
    let (bytes, found) = app.images.ingest(upload.bytes).await?;
    let view = PhotoView {
        id: upload.id,
        sha256: found.sha256,
        subject: upload.subject,
        taken_at: upload.taken_at,
        received_at: app.effects.now(),
        width: found.width,
        height: found.height,
        bytes: u64::try_from(bytes.len()).map_err(Refusal::internal)?,
    };
    // Bytes first: a row never names what is not there. Bytes without a row are found by the same name again.
    app.blobs.put(original_name(&view.sha256)?, bytes).await?;
    let tx = app.store.write().await?;
    let mut walk = Walk::locked(&tx, caller, of).await?;
    if let Some(known) = photo::known(&tx, view.id).await? {
        let same = known.inspection == of && known.view.sha256 == view.sha256 && known.view.subject == view.subject;
        return if same { Ok(Made::known(known.view)) } else { Err(id_taken("photograph")) };
    }
    check(&walk, &view.subject)?;
    let file = PhotoFile { view, inspection: of, media_type: found.media_type.to_owned() };
    photo::insert(&tx, &file).await?;
    walk.touch(&tx).await?;
    tx.commit().await?;
    Ok(Made::new(file.view))
}

/// Takes back a photograph of an open inspection, unless something refers to it.
pub async fn remove(app: &App, caller: &Caller, of: InspectionId, id: PhotoId) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let tx = app.store.write().await?;
    let mut walk = Walk::locked(&tx, caller, of).await?;
    walk.must_be_open()?;
    if let Some(user) = user_of(&tx, of, id).await? {
        return Err(Refusal::new(Code::PhotoInUse, format!("{user} refers to this photograph: take that back first.")));
    }
    if photo::remove(&tx, of, id).await? {
        walk.touch(&tx).await?;
        tx.commit().await?;
    }
    Ok(())
}

async fn user_of(tx: &Tx, of: InspectionId, id: PhotoId) -> Result<Option<String>, Refusal> {
    if let Some(entry) = walk::entries(tx, of).await?.iter().find(|e| e.photos.contains(&id)) {
        return Ok(Some(format!("The answer to `{}`", entry.checkpoint)));
    }
    if let Some(mark) = mark::of_inspection(tx, of).await?.iter().find(|m| m.photos.contains(&id)) {
        return Ok(Some(format!("The mark {}", mark.id)));
    }
    let looks = walk::sightings(tx, of).await?;
    Ok(looks.iter().find(|s| s.photos.contains(&id)).map(|s| format!("The look at mark {}", s.mark)))
}

fn original_name(sha256: &str) -> Result<BlobName, Refusal> {
    BlobName::original(sha256).ok_or_else(|| Refusal::internal(format!("`{sha256}` is no SHA-256")))
}

/// A copy to look at: upright, without metadata. Made once, then kept.
pub async fn read(app: &App, caller: &Caller, id: PhotoId, size: Size) -> Result<Vec<u8>, Refusal> {
    caller.must(Action::ReadPhotos)?;
    let file = find(app, caller, id).await?;
    let edge = size.max_edge();
    let copy = BlobName::copy(&file.view.sha256, edge).ok_or_else(|| Refusal::internal("a photograph has no hash"))?;
    if let Some(kept) = app.blobs.get(copy.clone()).await? {
        return Ok(kept);
    }
    let made = app.images.copy(bytes_of(app, &file).await?, edge).await?;
    app.blobs.put(copy, made.clone()).await?;
    Ok(made)
}

/// The bytes as they came, and what they are.
pub async fn original(app: &App, caller: &Caller, id: PhotoId) -> Result<(String, Vec<u8>), Refusal> {
    caller.must(Action::ReadOriginalPhotos)?;
    let file = find(app, caller, id).await?;
    let bytes = bytes_of(app, &file).await?;
    Ok((file.media_type, bytes))
}

async fn find(app: &App, caller: &Caller, id: PhotoId) -> Result<PhotoFile, Refusal> {
    let tx = app.store.read().await?;
    photo::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("photograph"))
}

async fn bytes_of(app: &App, file: &PhotoFile) -> Result<Vec<u8>, Refusal> {
    let bytes = app.blobs.get(original_name(&file.view.sha256)?).await?;
    bytes.ok_or_else(|| Refusal::internal(format!("the bytes of photograph {} are gone", file.view.id)))
}
