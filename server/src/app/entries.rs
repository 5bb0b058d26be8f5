use super::check::Checks;
use super::input::EntryInput;
use super::once::{Made, digest, id_taken};
use super::open_walk::Walk;
use super::{App, Caller, Code, Fault, Refusal};
use crate::store::{Tx, tariff, walk};
use handsel_domain::conflict::closure;
use handsel_domain::entry_check::{self, EntryFault};
use handsel_domain::ids::{EntryId, InspectionId};
use handsel_domain::inspection::{Answer, Entry, Leg};
use handsel_domain::policy::Action;
use handsel_domain::template::{Ask, Checkpoint};
use handsel_domain::time::Instant;

/// Records an answer. Earlier ones to the same question are kept; those it does not replace stand beside it.
pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    id: EntryId,
    asked: EntryInput,
) -> Result<Made<Entry>, Refusal> {
    let tx = app.store.write().await?;
    let made = put_in(&tx, caller, of, id, asked, app.effects.now()).await?;
    if made.fresh {
        tx.commit().await?;
    }
    Ok(made)
}

/// The same within a transaction; `at` is when it was recorded, where the answer itself does not say.
pub(super) async fn put_in(
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    id: EntryId,
    asked: EntryInput,
    at: Instant,
) -> Result<Made<Entry>, Refusal> {
    caller.must(Action::RecordInspection)?;
    let digest = digest(&asked)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    if let Some((known, inspection, made_by)) = walk::known_entry(tx, id).await? {
        let same = inspection == of && made_by == digest;
        return if same { Ok(Made::known(known)) } else { Err(id_taken("answer")) };
    }
    walk.must_be_open()?;
    check(tx, &walk, &asked).await?;
    let before = walk::entries(tx, of).await?;
    // Whoever does not say what they saw has the last word.
    let seen = asked.replaces.unwrap_or_else(|| before.iter().map(|e| e.id).collect());
    let replaces = closure(&before, &asked.checkpoint, &seen);
    let entry = Entry {
        id,
        checkpoint: asked.checkpoint,
        answer: asked.answer,
        photos: asked.photos,
        note: asked.note.filter(|n| !n.trim().is_empty()),
        recorded_at: asked.recorded_at.unwrap_or(at),
        recorded_by: Some(caller.staff),
        replaces,
    };
    walk::add_entry(tx, of, &entry, caller.staff, digest).await?;
    walk.touch(tx).await?;
    Ok(Made::new(entry))
}

/// Takes back an answer of an open inspection. One that is not there is taken back already.
pub async fn remove(app: &App, caller: &Caller, of: InspectionId, id: EntryId) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    remove_in(&tx, caller, of, id).await?;
    Ok(tx.commit().await?)
}

pub(super) async fn remove_in(tx: &Tx, caller: &Caller, of: InspectionId, id: EntryId) -> Result<(), Refusal> {
    caller.must(Action::RecordInspection)?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    walk.must_be_open()?;
    if walk::remove_entry(tx, of, id).await? {
        walk.touch(tx).await?;
    }
    Ok(())
}

async fn check(tx: &Tx, walk: &Walk, asked: &EntryInput) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    checks.note("/note", asked.note.as_deref());
    checks.photos(&asked.photos, &walk.photo_ids(tx).await?);
    let question = walk.asked.checkpoint(&asked.checkpoint).filter(|c| c.leg.includes(walk.head.leg));
    let item = walk.asked.item(&asked.checkpoint).is_some();
    let advice = format!("this walk-round asks nothing named `{}`: use a key of its template", asked.checkpoint);
    checks.require(question.is_some() || item, "/checkpoint", advice);
    checks.done()?;
    let fault = match question {
        Some(question) => fault(tx, walk, question, &asked.answer).await?,
        None if !matches!(asked.answer, Answer::Count { .. }) => {
            Some(EntryFault::WrongKind { wanted: "count" }.to_string())
        }
        None => entry_check::values(&asked.answer).err().map(|f| f.to_string()),
    };
    match fault {
        None => Ok(()),
        Some(words) => Err(Refusal::new(Code::AnswerInvalid, format!("Of `{}`: {words}.", asked.checkpoint))
            .with(vec![Fault::new("/answer", words)])),
    }
}

async fn fault(tx: &Tx, walk: &Walk, question: &Checkpoint, answer: &Answer) -> Result<Option<String>, Refusal> {
    let before = match (walk.head.leg, walk.hire.departure) {
        (Leg::Return, Some(departure)) => walk::entries(tx, departure).await?,
        _ => Vec::new(),
    };
    let departure = before.iter().rev().find(|e| e.checkpoint == question.key);
    let replaced = walk.hire.odometer_replacement.is_some();
    if let Err(fault) = entry_check::check(&question.ask, answer, departure, replaced) {
        return Ok(Some(fault.to_string()));
    }
    if let (Ask::Cleanliness { area }, Answer::Cleanliness { grade }) = (&question.ask, answer) {
        let tariff = tariff::find(tx, walk.hire.tariff).await?;
        let rule = tariff.and_then(|t| t.cleanliness.into_iter().find(|r| r.area == *area));
        if let Some(rule) = rule
            && !rule.grades.iter().any(|g| &g.key == grade)
        {
            let known: Vec<&str> = rule.grades.iter().map(|g| g.key.as_str()).collect();
            return Ok(Some(format!("the tariff has no grade `{grade}`: use one of {}", known.join(", "))));
        }
    }
    Ok(None)
}
