//! Places on a return's photograph that are worth a look, and what people make of them. A pointer helps a person to
//! look; whatever is charged comes from the marks that a person records.

use super::copies::{self, Form, Served, Size};
use super::input::PointerInput;
use super::open_walk::Walk;
use super::photos::find;
use super::view::{PointerView, PointersView};
use super::{App, Caller, Fault, Refusal, pair};
use crate::jobs::{Kind, Stage};
use crate::store::record::{Disposed, Disposition, PhotoFile, PointedState, Pointing};
use crate::store::{Tx, job, mark, photo, pointing, walk};
use handsel_domain::ids::{InspectionId, MarkId, PhotoId};
use handsel_domain::photo::PointersState;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use handsel_domain::words::words;
use uuid::Uuid;

pub async fn read(app: &App, caller: &Caller, id: PhotoId, lang: Lang) -> Result<PointersView, Refusal> {
    caller.must(Action::ReadPhotos)?;
    let tx = app.store.read().await?;
    let file = photo::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("photograph"))?;
    view(&tx, &file, lang).await
}

/// Notes what a person made of a pointer, while the inspection is open.
pub async fn dispose(
    app: &App,
    caller: &Caller,
    id: PhotoId,
    pointer: Uuid,
    asked: PointerInput,
    lang: Lang,
) -> Result<PointersView, Refusal> {
    caller.must(Action::RecordInspection)?;
    let tx = app.store.write().await?;
    let file = photo::find(&tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("photograph"))?;
    let open = Walk::locked(&tx, caller, file.inspection).await?;
    let there = pointing::of(&tx, id).await?.is_some_and(|p| p.pointers.iter().any(|p| p.id == pointer));
    if !there {
        return Err(Refusal::not_found("pointer on this photograph"));
    }
    let known = pointing::disposed(&tx, id).await?.into_iter().find(|d| d.pointer == pointer);
    if known.map_or((Disposition::Open, None), |d| (d.disposition, d.mark)) == (asked.disposition, asked.mark) {
        return view(&tx, &file, lang).await;
    }
    open.must_be_open()?;
    check(&tx, file.inspection, &asked).await?;
    let made =
        Disposed { pointer, disposition: asked.disposition, mark: asked.mark, by: caller.staff, at: app.effects.now() };
    pointing::dispose(&tx, id, &made).await?;
    let view = view(&tx, &file, lang).await?;
    tx.commit().await?;
    Ok(view)
}

async fn check(tx: &Tx, of: InspectionId, asked: &PointerInput) -> Result<(), Refusal> {
    let fault = match (asked.disposition, asked.mark) {
        (Disposition::Accepted, None) => Some("say which mark it was accepted as: record the mark first".to_owned()),
        (Disposition::Accepted, Some(mark)) if !recorded(tx, of).await?.contains(&mark) => {
            Some(format!("this inspection neither recorded nor looked at the mark {mark}: record it first"))
        }
        (Disposition::Open | Disposition::Dismissed, Some(_)) => Some("only an accepted pointer has a mark".to_owned()),
        _ => None,
    };
    fault.map_or(Ok(()), |detail| Err(Refusal::values(vec![Fault::new("/mark", detail)])))
}

/// Marks first seen on an inspection, and registered ones looked at again.
async fn recorded(tx: &Tx, of: InspectionId) -> Result<Vec<MarkId>, Refusal> {
    let seen = mark::of_inspection(tx, of).await?.into_iter().map(|m| m.id);
    let looked_at = walk::sightings(tx, of).await?.into_iter().map(|s| s.mark);
    Ok(seen.chain(looked_at).collect())
}

async fn view(tx: &Tx, file: &PhotoFile, lang: Lang) -> Result<PointersView, Refusal> {
    let id = file.photo.id;
    let found = pointing::of(tx, id).await?;
    let (state, before) = match &found {
        Some(Pointing { before, state: PointedState::Aligned, .. }) => (PointersState::Aligned, Some(*before)),
        Some(Pointing { before, state: PointedState::NotAligned, .. }) => (PointersState::NotAligned, Some(*before)),
        None => match pair::of(tx, file).await? {
            None => (PointersState::NothingToCompare, None),
            Some(pair) => (unfinished(tx, id).await?, Some(pair.before.id)),
        },
    };
    let disposed = pointing::disposed(tx, id).await?;
    let marks = recorded(tx, file.inspection).await?;
    let pointers: Vec<PointerView> = found
        .map(|f| f.pointers)
        .unwrap_or_default()
        .into_iter()
        .map(|p| {
            // One that was accepted as a mark which was taken back is open again.
            let made = disposed.iter().find(|d| d.pointer == p.id && d.mark.is_none_or(|m| marks.contains(&m)));
            PointerView {
                id: p.id,
                x: p.x,
                y: p.y,
                w: p.w,
                h: p.h,
                score: p.score,
                disposition: made.map_or(Disposition::Open, |d| d.disposition),
                mark: made.and_then(|d| d.mark),
                by: made.map(|d| d.by),
                at: made.map(|d| d.at),
            }
        })
        .collect();
    Ok(PointersView { state, before, words: words(lang).pointers(state, pointers.len()), pointers })
}

/// Where a comparison stands that has come to nothing yet.
async fn unfinished(tx: &Tx, id: PhotoId) -> Result<PointersState, Refusal> {
    for kind in Kind::ALL {
        if job::stages(tx, kind, vec![id.0]).await?.get(&id.0) == Some(&Stage::Failed) {
            return Ok(PointersState::Failed);
        }
    }
    Ok(PointersState::Waiting)
}

/// The departure's photograph as this one saw it, before it is fetched.
pub async fn before_of(app: &App, caller: &Caller, id: PhotoId, size: Size, form: Form) -> Result<Served, Refusal> {
    caller.must(Action::ReadPhotos)?;
    let file = find(app, caller, id).await?;
    let tx = app.store.read().await?;
    let lacks = || Refusal::not_found("departure photograph that could be laid over this one");
    let pointing = pointing::of(&tx, id).await?.filter(|p| p.state == PointedState::Aligned).ok_or_else(lacks)?;
    let before = photo::known(&tx, pointing.before).await?.ok_or_else(lacks)?;
    copies::aligned(&file.photo.sha256, &before.photo.sha256, size, form)
}

/// The bytes of what [`before_of`] found. They were kept before it could be found.
pub async fn before(app: &App, caller: &Caller, served: &Served) -> Result<Vec<u8>, Refusal> {
    caller.must(Action::ReadPhotos)?;
    let kept = app.blobs.get(served.name.clone()).await?;
    kept.ok_or_else(|| Refusal::internal(format!("the bytes of {} are gone", served.tag)))
}
