//! Copies, figures and repeats of one photograph.

use super::{finish, repeats};
use crate::app::photos::bytes_of;
use crate::app::{App, Refusal, copies, pair};
use crate::jobs::{Kind, Taken};
use crate::store::record::{Fact, PhotoFile};
use crate::store::{fact, job, photo};
use handsel_domain::ids::PhotoId;
use handsel_imaging::{fingerprint, measure};

pub(in crate::app) async fn photo(app: &App, taken: Taken) -> Result<(), Refusal> {
    let id = PhotoId(taken.job.subject);
    let known = {
        let tx = app.store.read().await?;
        match photo::known(&tx, id).await? {
            Some(file) => {
                let facts = fact::of(&tx, vec![file.photo.sha256.clone()]).await?;
                Some((facts.into_values().next(), file))
            }
            None => None,
        }
    };
    let Some((fact, file)) = known else {
        // Taken back meanwhile: its jobs went with it.
        return finish(app.store.write().await?, taken).await;
    };
    let fact = match fact {
        Some(fact) if copies::all_there(app, &file.photo.sha256).await? => fact,
        _ => made(app, &file).await?,
    };
    // Kept before the look around, in a transaction of its own: of two alike that are developed at the same time, one
    // sees the other.
    let tx = app.store.write().await?;
    fact::keep(&tx, &fact).await?;
    tx.commit().await?;
    let tx = app.store.write().await?;
    repeats::find(&tx, id, &fact).await?;
    if pair::of(&tx, &file).await?.is_some() {
        job::add(&tx, Kind::Point, id.0, app.effects.now()).await?;
    }
    // A departure's photograph may come after the return's that wait to be compared with it.
    for later in pair::waiting_for(&tx, &file).await? {
        job::add(&tx, Kind::Point, later.0, app.effects.now()).await?;
    }
    finish(tx, taken).await?;
    app.wake.notify_one();
    Ok(())
}

/// Makes the copies and keeps them; gives what was measured.
async fn made(app: &App, file: &PhotoFile) -> Result<Fact, Refusal> {
    let bytes = bytes_of(app, file).await?;
    let developed = app.images.with_pixels(bytes, |bytes, limits| {
        copies::develop(bytes, limits, |screen| (measure(screen), fingerprint(screen)))
    });
    let (files, (quality, fingerprint)) = developed.await??;
    for made in files {
        app.blobs.put(copies::name(&file.photo.sha256, &made.what)?, made.bytes).await?;
    }
    Ok(Fact {
        sha256: file.photo.sha256.clone(),
        sharpness: quality.sharpness,
        sharpest: quality.sharpest,
        mean: quality.mean,
        dark_share: quality.dark_share,
        bright_share: quality.bright_share,
        fingerprint: fingerprint.to_string(),
        made_at: app.effects.now(),
    })
}
