//! What is worth a look on a return's photograph: places where it shows what the departure's did not.

use super::finish;
use crate::app::photos::bytes_of;
use crate::app::{App, Refusal, Size, copies, pair};
use crate::jobs::Taken;
use crate::store::record::{PhotoFile, PointedState, Pointer, Pointing};
use crate::store::{photo, pointing};
use handsel_domain::ids::PhotoId;
use handsel_imaging::{IngestError, Known, Limits, Pointing as Compared, Region, RgbImage, point, upright};

/// Mebibytes that comparing two pictures of 1600 pixels takes.
const COMPARING_MIB: u64 = 160;

pub(in crate::app) async fn photo(app: &App, taken: Taken) -> Result<(), Refusal> {
    let id = PhotoId(taken.job.subject);
    let Some((after, before, known)) = files(app, id).await? else {
        // Taken back meanwhile, or compared by whoever had this job before.
        return finish(app.store.write().await?, taken).await;
    };
    let one = picture(app, &before).await?;
    let other = picture(app, &after).await?;
    let (found, files) = app.images.work(COMPARING_MIB, move || compared(&one, &other, &known)).await??;
    for made in files {
        let what = copies::before(&before.photo.sha256, &made.what);
        app.blobs.put(copies::name(&after.photo.sha256, &what)?, made.bytes).await?;
    }
    let pointing = Pointing {
        before: before.photo.id,
        state: if found.is_some() { PointedState::Aligned } else { PointedState::NotAligned },
        pointers: found
            .unwrap_or_default()
            .into_iter()
            .map(|found| Pointer { id: app.effects.ids.next(), ..found })
            .collect(),
    };
    let tx = app.store.write().await?;
    pointing::keep(&tx, id, &pointing, app.effects.now()).await?;
    finish(tx, taken).await
}

async fn files(app: &App, id: PhotoId) -> Result<Option<(PhotoFile, PhotoFile, Vec<Known>)>, Refusal> {
    let tx = app.store.read().await?;
    let Some(after) = photo::known(&tx, id).await? else { return Ok(None) };
    if pointing::of(&tx, id).await?.is_some() {
        return Ok(None);
    }
    let Some(pair) = pair::of(&tx, &after).await? else { return Ok(None) };
    let before = photo::known(&tx, pair.before.id).await?;
    Ok(before.map(|before| (after, before, pair.places())))
}

async fn picture(app: &App, file: &PhotoFile) -> Result<RgbImage, Refusal> {
    let bytes = bytes_of(app, file).await?;
    let edge = Size::Screen.max_edge();
    Ok(app.images.with_pixels(bytes, move |bytes: &[u8], limits: &Limits| upright(bytes, limits, edge)).await??)
}

/// Places worth a look, and the departure's picture as the return's saw it; nothing when they do not lie over each other.
type Outcome = (Option<Vec<Pointer>>, Vec<copies::Made>);

fn compared(before: &RgbImage, after: &RgbImage, known: &[Known]) -> Result<Outcome, IngestError> {
    let Compared::Aligned(aligned) = point(before, after, known) else { return Ok((None, Vec::new())) };
    let (width, height) = after.dimensions();
    let share = |region: &Region| Pointer {
        id: uuid::Uuid::nil(),
        x: f64::from(region.x) / f64::from(width),
        y: f64::from(region.y) / f64::from(height),
        w: f64::from(region.w) / f64::from(width),
        h: f64::from(region.h) / f64::from(height),
        score: region.score,
    };
    let pointers = aligned.regions.iter().map(share).collect();
    let laid_over = aligned.warp.apply(before, width, height);
    Ok((Some(pointers), copies::of_aligned(laid_over)?))
}
