use super::check::Checks;
use super::input::MarkInput;
use super::once::{Made, digest, id_taken};
use super::open_walk::Walk;
use super::{App, Caller, Refusal};
use crate::store::{Tx, mark};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{InspectionId, MarkId};
use handsel_domain::inspection::Mark;
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;

/// Records damage seen for the first time. It joins the register when the inspection is signed.
pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    id: MarkId,
    asked: MarkInput,
) -> Result<Made<Mark>, Refusal> {
    let tx = app.store.write().await?;
    let made = put_in(&tx, caller, of, id, asked, app.effects.now()).await?;
    if made.fresh {
        tx.commit().await?;
    }
    Ok(made)
}

pub(super) async fn put_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    id: MarkId,
    asked: MarkInput,
    at: Instant,
) -> Result<Made<Mark>, Refusal> {
    caller.must(Action::RecordInspection)?;
    let digest = digest(&asked)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    if let Some((known, made_by)) = mark::known(tx, id).await? {
        let same = known.first_seen == of && made_by == digest;
        return if same { Ok(Made::known(known)) } else { Err(id_taken("mark")) };
    }
    walk.must_be_open()?;
    check(tx, &walk, &asked).await?;
    let damage = Mark {
        id,
        panel: asked.panel,
        kind: asked.kind,
        size_mm: asked.size_mm,
        depth: asked.depth,
        viewpoint: asked.viewpoint,
        x: asked.x,
        y: asked.y,
        photos: asked.photos,
        first_seen: of,
        note: asked.note.filter(|n| !n.trim().is_empty()),
    };
    mark::add(tx, walk.head.vehicle, &damage, at, digest).await?;
    walk.touch(tx).await?;
    Ok(Made::new(damage))
}

/// Takes back damage recorded on an open inspection. One that is not there is taken back already.
pub async fn remove(app: &App, caller: &Caller, of: InspectionId, id: MarkId) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    remove_in(&tx, caller, of, id).await?;
    Ok(tx.commit().await?)
}

pub(super) async fn remove_in(tx: &Tx, caller: &Caller, of: InspectionId, id: MarkId) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if mark::remove(tx, of, id).await? {
        walk.touch(tx).await?;
    }
    Ok(())
}

async fn check(tx: &Tx, walk: &Walk, asked: &MarkInput) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    let panel = walk.asked.panel(&asked.panel).is_some();
    checks.require(panel, "/panel", format!("the template has no panel `{}`: use one of its panel keys", asked.panel));
    checks.line("/kind", &asked.kind);
    checks.require(asked.size_mm > 0, "/size_mm", "must be at least 1 mm");
    let viewpoint = walk.asked.viewpoint(&asked.viewpoint).is_some();
    let advice = format!("this walk-round has no viewpoint `{}`: use one of its viewpoint keys", asked.viewpoint);
    checks.require(viewpoint, "/viewpoint", advice);
    for (pointer, place) in [("/x", asked.x), ("/y", asked.y)] {
        let inside = !place.is_negative() && place <= Exact::ONE;
        checks.require(inside, pointer, "must lie between 0 and 1, from the photograph's top left corner");
    }
    checks.photos(&asked.photos, &walk.photo_ids(tx).await?);
    checks.note("/note", asked.note.as_deref());
    checks.done()
}
