//! Photographs as they are told: with how far the work on them is, what was measured, and what they repeat.

use super::Refusal;
use super::view::{AdviceView, PhotoFacts, PhotoView, Processing, RepeatView};
use crate::jobs::{Kind, Stage};
use crate::store::record::{Fact, Photograph};
use crate::store::{Scope, Tx, fact, inspection, job, photo, pointing, repeat, vehicle};
use handsel_domain::ids::PhotoId;
use handsel_domain::inspection::Repeat;
use handsel_domain::photo::PhotoAdvice;
use handsel_domain::text::Lang;
use handsel_domain::words::words;
use handsel_imaging::{Advice, Quality};

pub(super) async fn views(
    tx: &Tx,
    scope: Scope,
    photos: Vec<Photograph>,
    lang: Lang,
) -> Result<Vec<PhotoView>, Refusal> {
    let ids: Vec<PhotoId> = photos.iter().map(|p| p.id).collect();
    let stages = job::stages(tx, Kind::Photo, ids.iter().map(|id| id.0).collect()).await?;
    let facts = fact::of(tx, photos.iter().map(|p| p.sha256.clone()).collect()).await?;
    let elsewhere = pointing::not_aligned(tx, &ids).await?;
    let mut repeats = repeat::of(tx, &ids).await?;
    let mut views = Vec::with_capacity(photos.len());
    for photo in photos {
        let known = facts.get(&photo.sha256).map(|f| measured(f, elsewhere.contains(&photo.id), lang));
        let again = repeats.remove(&photo.id).unwrap_or_default();
        views.push(PhotoView {
            processing: match stages.get(&photo.id.0) {
                Some(Stage::Done) => Processing::Done,
                Some(Stage::Failed) => Processing::Failed,
                Some(Stage::Waiting | Stage::Running) | None => Processing::Waiting,
            },
            facts: known,
            repeats: told(tx, scope, again, lang).await?,
            id: photo.id,
            sha256: photo.sha256,
            subject: photo.subject,
            taken_at: photo.taken_at,
            received_at: photo.received_at,
            arrived: photo.arrived_at.is_some(),
            width: photo.width,
            height: photo.height,
            bytes: photo.bytes,
        });
    }
    Ok(views)
}

fn measured(fact: &Fact, elsewhere: bool, lang: Lang) -> PhotoFacts {
    let Fact { sharpness, sharpest, mean, dark_share, bright_share, .. } = *fact;
    let quality = Quality { sharpness, sharpest, mean, dark_share, bright_share };
    let seen = quality.advice().into_iter().map(|advice| match advice {
        Advice::Blurred => PhotoAdvice::Blurred,
        Advice::TooDark => PhotoAdvice::TooDark,
        Advice::TooBright => PhotoAdvice::TooBright,
    });
    let advice = seen.chain(elsewhere.then_some(PhotoAdvice::NotTheViewpoint));
    PhotoFacts {
        sharpness,
        sharpest,
        mean,
        dark_share,
        bright_share,
        advice: advice.map(|code| AdviceView { code, words: words(lang).photo_advice(code) }).collect(),
    }
}

/// Where an earlier photograph was taken is told only to those who reach it.
async fn told(tx: &Tx, scope: Scope, repeats: Vec<Repeat>, lang: Lang) -> Result<Vec<RepeatView>, Refusal> {
    let mut told = Vec::with_capacity(repeats.len());
    for Repeat { photo: earlier, whose, how } in repeats {
        let mut view = RepeatView {
            whose,
            how,
            words: words(lang).photo_repeated(whose),
            photo: None,
            vehicle: None,
            vehicle_name: None,
            hire: None,
        };
        if let Some(file) = photo::find(tx, scope, earlier).await?
            && let Some(head) = inspection::find(tx, scope, file.inspection).await?
        {
            view.photo = Some(earlier);
            view.hire = Some(head.hire);
            view.vehicle = Some(head.vehicle);
            view.vehicle_name = vehicle::find(tx, scope, head.vehicle).await?.map(|v| v.name);
        }
        told.push(view);
    }
    Ok(told)
}
