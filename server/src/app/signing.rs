use super::check::Checks;
use super::hires::{keep, locked};
use super::input::{AbsenceNote, Handover, Sign, SignatureInput};
use super::inspections::{not_out_elsewhere, open_points, view};
use super::once::{self, Idempotency, Replayed};
use super::open_walk::Walk;
use super::view::InspectionView;
use super::{App, Caller, Code, Fault, Refusal, sealing, strokes};
use crate::store::record::{Hire, RegisterState, StrokedSignature};
use crate::store::{Tx, inspection, mark, walk};
use handsel_domain::gate::{OpenKind, OpenPoint};
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::{Absence, Clocks, Leg, Signature, SignatureRole};
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;

/// Notes when the vehicle changed hands.
pub async fn hand_over(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    asked: Handover,
    lang: Lang,
) -> Result<InspectionView, Refusal> {
    let tx = app.store.write().await?;
    let walk = hand_over_in(&tx, caller, of, asked).await?;
    let view = view(&tx, &walk, lang).await?;
    tx.commit().await?;
    Ok(view)
}

pub(super) async fn hand_over_in(tx: &Tx, caller: &Caller, of: InspectionId, asked: Handover) -> Result<Walk, Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    let mut checks = Checks::default();
    if let (Leg::Return, Some(departed)) = (walk.head.leg, walk.hire.departed_at) {
        let later = asked.handed_over_at > departed;
        let advice = format!("the vehicle went out at {departed}: it came back after that");
        checks.require(later, "/handed_over_at", advice);
    }
    checks.done()?;
    walk.head.handed_over_at = Some(asked.handed_over_at);
    walk.touch(tx).await?;
    Ok(walk)
}

/// Keeps a drawn signature.
pub async fn put_signature(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    role: SignatureRole,
    asked: SignatureInput,
) -> Result<Signature, Refusal> {
    let tx = app.store.write().await?;
    let signature = put_signature_in(&tx, caller, of, role, asked, app.effects.now()).await?;
    tx.commit().await?;
    Ok(signature)
}

pub(super) async fn put_signature_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    role: SignatureRole,
    asked: SignatureInput,
    received_at: Instant,
) -> Result<Signature, Refusal> {
    caller.must(Action::SignInspection)?;
    let mut checks = Checks::default();
    checks.line("/name", &asked.name);
    checks.sha256("/record_sha256", asked.record_sha256.as_deref());
    strokes::check(&mut checks, &asked.strokes);
    checks.done()?;
    let signature = Signature {
        role,
        name: asked.name,
        signed_at: asked.signed_at,
        strokes_sha256: strokes::sha256(&asked.strokes),
        record_sha256: asked.record_sha256,
    };
    let mut walk = Walk::locked(tx, caller, of).await?;
    if walk::signatures(tx, of).await?.contains(&signature) {
        return Ok(signature);
    }
    walk.must_be_open()?;
    let drawn = serde_json::to_value(&asked.strokes).map_err(Refusal::internal)?;
    let kept = StrokedSignature { signature: signature.clone(), strokes: drawn, received_at };
    walk::put_signature(tx, of, &kept).await?;
    walk.touch(tx).await?;
    Ok(signature)
}

/// Notes why the hirer is not there to sign the return.
pub async fn note_absence(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    asked: AbsenceNote,
    lang: Lang,
) -> Result<InspectionView, Refusal> {
    let tx = app.store.write().await?;
    let walk = note_absence_in(&tx, caller, of, asked, app.effects.now()).await?;
    let view = view(&tx, &walk, lang).await?;
    tx.commit().await?;
    Ok(view)
}

pub(super) async fn note_absence_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    asked: AbsenceNote,
    noted_at: Instant,
) -> Result<Walk, Refusal> {
    caller.must(Action::SignInspection)?;
    let mut checks = Checks::default();
    checks.words("/reason", &asked.reason);
    checks.done()?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if walk.head.leg != Leg::Return {
        return Err(Refusal::value("/reason", "a departure is signed by the hirer: absence is noted at return only"));
    }
    walk.head.absence = Some(Absence { reason: asked.reason, noted_at, noted_by: Some(caller.staff) });
    walk.touch(tx).await?;
    Ok(walk)
}

/// Closes an inspection and moves its hire on.
pub async fn sign(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    idempotency: Idempotency,
    asked: Sign,
    lang: Lang,
) -> Result<Replayed, Refusal> {
    caller.must(Action::SignInspection)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    match sign_in(app, &tx, caller, of, asked, (now, now), lang).await? {
        Signed::Closed => {
            let walk = Walk::read(&tx, caller, of).await?;
            let view = view(&tx, &walk, lang).await?;
            once::commit(tx, caller, &idempotency, &view, Some(view.version)).await
        }
        Signed::Disputed(refusal) => {
            once::release(&tx, caller, &idempotency).await?;
            tx.commit().await?;
            Err(refusal)
        }
    }
}

/// How an attempt to close an inspection ended.
#[derive(Debug)]
pub(super) enum Signed {
    Closed,
    /// The device's record is not the server's: both are kept in the transaction, and nothing else is done.
    Disputed(Refusal),
}

/// Closes within a transaction: signed at the first of two moments, received at the second. A device whose clock is
/// ahead has signed nothing later than now.
pub(super) async fn sign_in(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    asked: Sign,
    (at, now): (Instant, Instant),
    lang: Lang,
) -> Result<Signed, Refusal> {
    caller.must(Action::SignInspection)?;
    let mut checks = Checks::default();
    checks.sha256("/record_sha256", asked.record_sha256.as_deref());
    checks.done()?;
    let head = inspection::find(tx, caller.scope, of).await?.ok_or_else(|| Refusal::not_found("inspection"))?;
    // The hire before its inspection, as everywhere, so that two deeds never wait for each other.
    let mut hire = locked(tx, caller, head.hire).await?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if let Some(device) = asked.device_time {
        let seen = Clocks { device, server: now };
        let apart = |c: Clocks| c.device.seconds_since(c.server).abs();
        // The reading that lies further apart is kept: it is the one to be told about.
        walk.head.clocks = Some(walk.head.clocks.filter(|c| apart(*c) >= apart(seen)).unwrap_or(seen));
    }
    let recorded = walk.recorded(tx).await?;
    complete(open_points(&walk, &recorded, lang))?;
    let record = sealing::record(&walk, &recorded)?;
    if let Some(refusal) = sealing::dispute(app, tx, caller, &record, &recorded, &asked, now).await? {
        return Ok(Signed::Disputed(refusal));
    }
    let at = at.min(now);
    close(tx, caller, &mut walk, at).await?;
    sealing::seal(app, tx, &walk, &record, &recorded, now).await?;
    move_on(app, tx, &mut hire, &walk, at).await?;
    Ok(Signed::Closed)
}

/// Refuses while something blocks the signature; unacknowledged topics before anything else.
fn complete(open: Vec<OpenPoint>) -> Result<(), Refusal> {
    let blocking: Vec<OpenPoint> = open.into_iter().filter(|p| p.blocks).collect();
    if blocking.is_empty() {
        return Ok(());
    }
    let faults = |points: &[&OpenPoint]| -> Vec<Fault> {
        points.iter().map(|p| Fault::new(format!("/{}", p.key), p.words.clone())).collect()
    };
    let topics: Vec<&OpenPoint> = blocking.iter().filter(|p| p.kind == OpenKind::Briefing).collect();
    let conflicts: Vec<&OpenPoint> = blocking.iter().filter(|p| p.kind == OpenKind::Conflict).collect();
    if topics.is_empty() && !conflicts.is_empty() {
        let keys: Vec<&str> = conflicts.iter().map(|p| p.key.as_str()).collect();
        return Err(Refusal::new(
            Code::AnswersConflict,
            format!("Two devices answered differently: {}. Choose one answer to each.", keys.join(", ")),
        )
        .with(faults(&conflicts))
        .and("checkpoints", keys));
    }
    if topics.is_empty() {
        return Err(Refusal::new(
            Code::InspectionIncomplete,
            "Something is still to do before this can be signed; see errors.",
        )
        .with(faults(&blocking.iter().collect::<Vec<_>>()))
        .and("open_points", &blocking));
    }
    let keys: Vec<&str> = topics.iter().map(|p| p.key.as_str()).collect();
    Err(Refusal::new(
        Code::BriefingUnacknowledged,
        format!(
            "The hirer has not acknowledged: {}. Go through each with them; going on without one takes a reason.",
            keys.join(", ")
        ),
    )
    .with(faults(&topics))
    .and("topics", keys))
}

/// Signs the inspection; its damage joins the register, and a departure keeps the register as it now is.
async fn close(tx: &Tx, caller: &Caller, walk: &mut Walk, now: Instant) -> Result<(), Refusal> {
    walk.head.signed_at = Some(now);
    walk.head.signed_by = Some(caller.staff);
    inspection::update(tx, &mut walk.head).await?;
    mark::join(tx, walk.head.id, now).await?;
    if walk.head.leg == Leg::Departure {
        let register = mark::register(tx, walk.head.vehicle).await?;
        let open = register.into_iter().filter(|m| m.state == RegisterState::Open).map(|m| m.mark);
        walk.head.register = Some(open.collect());
        inspection::update(tx, &mut walk.head).await?;
    }
    Ok(())
}

async fn move_on(app: &App, tx: &Tx, hire: &mut Hire, walk: &Walk, now: Instant) -> Result<(), Refusal> {
    let state = hire.state().map_err(Refusal::internal)?;
    let at = walk.head.handed_over_at.unwrap_or(now);
    let next = match walk.head.leg {
        Leg::Departure => {
            not_out_elsewhere(tx, hire).await?;
            state.depart(at)?
        }
        Leg::Return => state.take_back(at)?,
        Leg::Interim => return Ok(()),
    };
    hire.enter(next);
    keep(app, tx, hire).await
}
