use super::check::Checks;
use super::input::BriefingInput;
use super::open_walk::Walk;
use super::{App, Caller, Refusal};
use crate::store::{Tx, walk};
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::{BriefingRecord, Leg, Override};
use handsel_domain::policy::Action;
use handsel_domain::template::Key;
use handsel_domain::time::Instant;

/// Records what became of a topic at departure.
pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    topic: Key,
    asked: BriefingInput,
) -> Result<BriefingRecord, Refusal> {
    let tx = app.store.write().await?;
    let record = put_in(&tx, caller, of, topic, asked, app.effects.now()).await?;
    tx.commit().await?;
    Ok(record)
}

pub(super) async fn put_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    topic: Key,
    asked: BriefingInput,
    at: Instant,
) -> Result<BriefingRecord, Refusal> {
    caller.must(Action::RecordInspection)?;
    if asked.overridden.is_some() {
        caller.must(Action::OverrideBriefing)?;
    }
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if walk.head.leg != Leg::Departure || walk.asked.topic(&topic).is_none() {
        return Err(Refusal::not_found("topic on this walk-round; briefings belong to the departure"));
    }
    let mut checks = Checks::default();
    if let Some(overridden) = &asked.overridden {
        checks.words("/override/reason", &overridden.reason);
        let both = asked.acknowledged_at.is_some();
        checks.require(!both, "/override", "a topic that was acknowledged is not gone on without: send one of the two");
    }
    checks.done()?;
    let record = BriefingRecord {
        topic,
        shown_at: asked.shown_at,
        acknowledged_at: asked.acknowledged_at,
        overridden: asked.overridden.map(|o| Override { reason: o.reason, at, by: Some(caller.staff) }),
    };
    walk::put_briefing(tx, of, &record).await?;
    walk.touch(tx).await?;
    Ok(record)
}
