use super::check::Checks;
use super::copies::{self, Form, Served, Size};
use super::once::{Made, id_taken};
use super::open_walk::Walk;
use super::photo_views::views;
use super::view::PhotoView;
use super::{App, Caller, Code, Fault, Refusal};
use crate::blobs::{BlobError, BlobName};
use crate::jobs::Kind;
use crate::store::record::{PhotoFile, Photograph};
use crate::store::{Tx, job, mark, photo, walk};
use handsel_domain::ids::{InspectionId, PhotoId};
use handsel_domain::inspection::PhotoSubject;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;

/// Most bytes a photograph may have.
pub const LARGEST: u64 = 25 * 1024 * 1024;

/// A photograph on its way in.
#[derive(Debug)]
pub struct Upload {
    pub id: PhotoId,
    pub subject: PhotoSubject,
    pub taken_at: Instant,
    /// The media type it was sent as, where one was named.
    pub declared: Option<String>,
    pub bytes: Vec<u8>,
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

/// Keeps a photograph as it came. Everything that is made of it becomes due in the same transaction.
pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    upload: Upload,
    lang: Lang,
) -> Result<Made<PhotoView>, Refusal> {
    caller.must(Action::RecordInspection)?;
    let (bytes, found) = app.images.ingest(upload.bytes, upload.declared).await?;
    let taken = Photograph {
        id: upload.id,
        sha256: found.sha256,
        subject: upload.subject,
        taken_at: upload.taken_at,
        received_at: app.effects.now(),
        arrived_at: Some(app.effects.now()),
        width: found.width,
        height: found.height,
        bytes: u64::try_from(bytes.len()).map_err(Refusal::internal)?,
    };
    // Bytes first: a row never names what is not there. Bytes without a row are found by the same name again.
    app.blobs.put(original_name(&taken.sha256)?, bytes).await?;
    let tx = app.store.write().await?;
    let mut walk = Walk::locked(&tx, caller, of).await?;
    if let Some(known) = photo::known(&tx, taken.id).await? {
        let same = known.inspection == of && known.photo.subject == taken.subject;
        if !same || (known.photo.arrived_at.is_some() && known.photo.sha256 != taken.sha256) {
            return Err(id_taken("photograph"));
        }
        let (file, fresh) = arrive(&tx, known, &Arrived::of(&taken, found.media_type)).await?;
        let view = view(&tx, caller, file.photo, lang).await?;
        if fresh {
            tx.commit().await?;
            app.wake.notify_one();
        }
        return Ok(Made { value: view, fresh });
    }
    check(&walk, &taken.subject)?;
    let file = PhotoFile { photo: taken, inspection: of, media_type: found.media_type.to_owned() };
    photo::insert(&tx, &file).await?;
    job::add(&tx, Kind::Photo, file.photo.id.0, app.effects.now()).await?;
    walk.touch(&tx).await?;
    let view = view(&tx, caller, file.photo, lang).await?;
    tx.commit().await?;
    app.wake.notify_one();
    Ok(Made::new(view))
}

async fn view(tx: &Tx, caller: &Caller, photo: Photograph, lang: Lang) -> Result<PhotoView, Refusal> {
    let viewed = views(tx, caller.scope, vec![photo], lang).await?;
    viewed.into_iter().next().ok_or_else(|| Refusal::internal("a photograph has no view"))
}

/// A photograph that a device tells of before its bytes come.
#[derive(Clone, Debug)]
pub(super) struct Announced {
    pub(super) id: PhotoId,
    pub(super) subject: PhotoSubject,
    pub(super) taken_at: Instant,
    pub(super) sha256: String,
    pub(super) bytes: u64,
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) media_type: String,
}

/// Keeps what is told of a photograph. It counts from here on, and only the bytes of this very hash are taken for it.
pub(super) async fn announce_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    told: Announced,
    now: Instant,
) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    if let Some(known) = photo::known(tx, told.id).await? {
        let photo = &known.photo;
        let same = known.inspection == of && photo.subject == told.subject && photo.sha256 == told.sha256;
        return if same { Ok(()) } else { Err(id_taken("photograph")) };
    }
    check(&walk, &told.subject)?;
    let mut checks = Checks::default();
    checks.sha256("/sha256", Some(&told.sha256));
    let size = (1..=LARGEST).contains(&told.bytes);
    checks.require(size, "/bytes", format!("must lie between 1 and {LARGEST}"));
    checks.require(told.width > 0, "/width", "must be at least 1 pixel");
    checks.require(told.height > 0, "/height", "must be at least 1 pixel");
    let kind = ["image/jpeg", "image/png", "image/webp"].contains(&told.media_type.as_str());
    checks.require(kind, "/content_type", "must be image/jpeg, image/png or image/webp");
    checks.done()?;
    let photo = Photograph {
        id: told.id,
        sha256: told.sha256,
        subject: told.subject,
        taken_at: told.taken_at,
        received_at: now,
        arrived_at: None,
        width: told.width,
        height: told.height,
        bytes: told.bytes,
    };
    photo::insert(tx, &PhotoFile { photo, inspection: of, media_type: told.media_type }).await?;
    walk.touch(tx).await
}

/// Bytes that came for a photograph, and what they turned out to be.
#[derive(Clone, Debug)]
pub(super) struct Arrived {
    pub(super) sha256: String,
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) media_type: &'static str,
    pub(super) at: Instant,
}

impl Arrived {
    fn of(taken: &Photograph, media_type: &'static str) -> Self {
        let Photograph { width, height, received_at: at, .. } = *taken;
        Self { sha256: taken.sha256.clone(), width, height, media_type, at }
    }
}

/// Refuses bytes that are not those which were announced.
pub(super) fn must_be_announced(known: &PhotoFile, sha256: &str) -> Result<(), Refusal> {
    if known.photo.sha256 == sha256 {
        return Ok(());
    }
    Err(Refusal::new(
        Code::UploadDiffers,
        "These are not the bytes that were announced for this photograph: their SHA-256 differs. Send the file that was \
         announced.",
    )
    .and("announced_sha256", &known.photo.sha256)
    .and("sha256", sha256))
}

/// The bytes of an announced photograph are kept: it is developed from here on, also when its inspection is signed.
/// False: they came before.
pub(super) async fn arrive(tx: &Tx, known: PhotoFile, came: &Arrived) -> Result<(PhotoFile, bool), Refusal> {
    must_be_announced(&known, &came.sha256)?;
    if known.photo.arrived_at.is_some() {
        return Ok((known, false));
    }
    let (width, height) = (came.width, came.height);
    let photo = Photograph { width, height, arrived_at: Some(came.at), ..known.photo };
    let file = PhotoFile { photo, media_type: came.media_type.to_owned(), ..known };
    photo::arrive(tx, &file).await?;
    job::add(tx, Kind::Photo, file.photo.id.0, came.at).await?;
    Ok((file, true))
}

/// Takes back a photograph of an open inspection, unless something refers to it.
pub async fn remove(app: &App, caller: &Caller, of: InspectionId, id: PhotoId) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    remove_in(&tx, caller, of, id).await?;
    Ok(tx.commit().await?)
}

pub(super) async fn remove_in(tx: &Tx, caller: &Caller, of: InspectionId, id: PhotoId) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if let Some(user) = user_of(tx, of, id).await? {
        return Err(Refusal::new(Code::PhotoInUse, format!("{user} refers to this photograph: take that back first.")));
    }
    if photo::remove(tx, of, id).await? {
        job::remove(tx, id.0).await?;
        walk.touch(tx).await?;
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

pub(super) fn original_name(sha256: &str) -> Result<BlobName, Refusal> {
    BlobName::original(sha256).ok_or_else(|| Refusal::internal(format!("`{sha256}` is no SHA-256")))
}

/// What would be served, before it is made or fetched: whoever has that very file need not be sent it.
pub async fn copy_of(app: &App, caller: &Caller, id: PhotoId, size: Size, form: Form) -> Result<Served, Refusal> {
    caller.must(Action::ReadPhotos)?;
    copies::copy(&find(app, caller, id).await?.photo.sha256, size, form)
}

/// A copy to look at: upright, without metadata. Made once, then kept.
pub async fn read(app: &App, caller: &Caller, id: PhotoId, size: Size, form: Form) -> Result<Vec<u8>, Refusal> {
    caller.must(Action::ReadPhotos)?;
    let file = find(app, caller, id).await?;
    must_be_here(&file)?;
    kept_copy(app, &file.photo.sha256, size, form).await
}

/// A copy of an original that is here: made once, then kept.
pub(super) async fn kept_copy(app: &App, sha256: &str, size: Size, form: Form) -> Result<Vec<u8>, Refusal> {
    let copy = copies::copy(sha256, size, form)?;
    if let Some(kept) = app.blobs.get(copy.name.clone()).await? {
        return Ok(kept);
    }
    let made = app.images.copy(original_bytes(app, sha256).await?, size.max_edge(), form.into()).await?;
    app.blobs.put(copy.name, made.clone()).await?;
    Ok(made)
}

async fn original_bytes(app: &App, sha256: &str) -> Result<Vec<u8>, Refusal> {
    let bytes = app.blobs.get(original_name(sha256)?).await?;
    bytes.ok_or_else(|| Refusal::internal(format!("the bytes of photograph {sha256} are gone")))
}

/// The bytes as they came, what they are, and their hash.
pub async fn original(app: &App, caller: &Caller, id: PhotoId) -> Result<(PhotoFile, Vec<u8>), Refusal> {
    caller.must(Action::ReadOriginalPhotos)?;
    let file = find(app, caller, id).await?;
    let bytes = bytes_of(app, &file).await?;
    Ok((file, bytes))
}

pub(super) async fn find(app: &App, caller: &Caller, id: PhotoId) -> Result<PhotoFile, Refusal> {
    let tx = app.store.read().await?;
    photo::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("photograph"))
}

pub(super) async fn bytes_of(app: &App, file: &PhotoFile) -> Result<Vec<u8>, Refusal> {
    must_be_here(file)?;
    original_bytes(app, &file.photo.sha256).await
}

pub(super) fn must_be_here(file: &PhotoFile) -> Result<(), Refusal> {
    if file.photo.arrived_at.is_none() {
        return Err(Refusal::new(
            Code::PhotoAwaited,
            "The device has told of this photograph, but its bytes have not come yet. Look again later.",
        ));
    }
    Ok(())
}
