//! What devices recorded while nobody could be reached, taken in their order and each once. Whether an operation is due
//! is decided by [`handsel_domain::sync::admit`] alone; everything it changes, and that it was handled, is written in one
//! transaction.

use super::input::{Deed, NewInspection, Operation, Operations, Sent, Sign};
use super::photos::Announced;
use super::signing::Signed;
use super::view::{Fate, Receipt};
use super::{App, Caller, Code, Fault, Refusal};
use super::{addenda, briefings, entries, inspections, marks, photos, sightings, signing};
use crate::store::record::Handled;
use crate::store::{Tx, operation};
use handsel_domain::ids::{DeviceId, OperationId};
use handsel_domain::policy::Action;
use handsel_domain::sync::{Admit, Turn, admit};
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;

/// Most operations of one request.
const MOST: usize = 100;

/// What became of one operation.
#[derive(Clone, Debug)]
pub struct Outcome {
    pub id: OperationId,
    pub fate: Fate,
    pub problem: Option<Refusal>,
    pub receipt: Option<Receipt>,
}

/// What became of a request's operations.
#[derive(Clone, Debug)]
pub struct Outcomes {
    pub outcomes: Vec<Outcome>,
    pub received_at: Instant,
}

/// Takes operations one after the other. From the first that cannot be handled now on, all are held back.
pub async fn take(app: &App, caller: &Caller, asked: Operations, lang: Lang) -> Result<Outcomes, Refusal> {
    caller.must(Action::RecordInspection)?;
    let count = asked.operations.len();
    if !(1..=MOST).contains(&count) {
        return Err(Refusal::value("/operations", format!("must hold 1 to {MOST} operations, and holds {count}")));
    }
    let received_at = app.effects.now();
    let mut outcomes: Vec<Outcome> = Vec::with_capacity(count);
    let mut halted: Option<Refusal> = None;
    for sent in asked.operations {
        let id = sent.operation.id;
        let outcome = match &halted {
            Some(why) => held_back(id, why.clone()),
            None => match one(app, caller, (asked.device, asked.sent_at), sent, lang).await {
                Ok(outcome) => outcome,
                Err(trouble) => held_back(id, passing(id, &trouble)),
            },
        };
        if outcome.fate == Fate::HeldBack {
            halted.clone_from(&outcome.problem);
        }
        outcomes.push(outcome);
    }
    Ok(Outcomes { outcomes, received_at })
}

/// The server's own trouble is no answer to an operation: it is sent again.
fn passing(id: OperationId, trouble: &Refusal) -> Refusal {
    tracing::error!(operation = %id, %trouble, "an operation is held back");
    Refusal::new(Code::NotReady, "The server could not take this just now. Nothing is lost: send it again soon.")
}

const fn held_back(id: OperationId, problem: Refusal) -> Outcome {
    Outcome { id, fate: Fate::HeldBack, problem: Some(problem), receipt: None }
}

struct Job<'a> {
    app: &'a App,
    caller: &'a Caller,
    turn: Turn,
    operation: Operation,
    sent_at: Option<Instant>,
    now: Instant,
    lang: Lang,
}

async fn one(
    app: &App,
    caller: &Caller,
    (device, sent_at): (DeviceId, Option<Instant>),
    sent: Sent,
    lang: Lang,
) -> Result<Outcome, Refusal> {
    let Sent { operation, content_sha256: content } = sent;
    let turn = Turn { device, sequence: operation.sequence.get(), id: operation.id, content };
    let job = Job { app, caller, turn, operation, sent_at, now: app.effects.now(), lang };
    let tx = app.store.write().await?;
    if let Some(outcome) = job.not_due(&tx).await? {
        tx.commit().await?;
        return Ok(outcome);
    }
    let refusal = match job.apply(&tx).await {
        Ok(Signed::Closed) => None,
        Ok(Signed::Disputed(refusal)) => Some(refusal),
        Err(trouble) if trouble.code == Code::Internal => return Err(trouble),
        Err(refusal) if job.waits_for_its_author(&refusal) => {
            return Ok(held_back(job.turn.id, refusal.and("author", job.operation.author)));
        }
        Err(refusal) => {
            // Whatever was begun is undone; that it was refused is written by itself, if it is still due.
            drop(tx);
            let tx = app.store.write().await?;
            if let Some(outcome) = job.not_due(&tx).await? {
                return Ok(outcome);
            }
            return job.keep(tx, Some(refusal)).await;
        }
    };
    job.keep(tx, refusal).await
}

impl Job<'_> {
    /// The answer to an operation that is not to be applied now. Nobody else handles this device's until the
    /// transaction ends.
    async fn not_due(&self, tx: &Tx) -> Result<Option<Outcome>, Refusal> {
        let handled = operation::handled(tx, self.turn.device, self.now).await?;
        let known = operation::known::<Refusal>(tx, self.turn.id).await?;
        let decided = admit(handled, known.as_ref().map(|(turn, _)| turn), &self.turn);
        let after = decided.then_handled(handled);
        Ok(match (decided, known) {
            (Admit::Apply, _) => None,
            (Admit::Again, Some((_, before))) => Some(self.answered(&before, Fate::AlreadyApplied)),
            (Admit::Early { expected }, _) => Some(held_back(
                self.turn.id,
                Refusal::new(
                    Code::OperationOutOfOrder,
                    format!(
                        "Number {} came, but {expected} is the next one of this device: send on from there.",
                        self.turn.sequence
                    ),
                )
                .and("expected", expected),
            )),
            (Admit::Again, None) | (Admit::Reused { .. }, _) => {
                operation::advance(tx, self.turn.device, after, self.now).await?;
                Some(self.reused(after.saturating_add(1)))
            }
        })
    }

    fn reused(&self, expected: u32) -> Outcome {
        let problem = Refusal::new(
            Code::OperationReused,
            "Its id or its number belongs to another operation that was handled: make a new id, and go on with the \
             expected number. A device that lost its store makes a new device id.",
        )
        .and("expected", expected);
        Outcome { id: self.turn.id, fate: Fate::Refused, problem: Some(problem), receipt: None }
    }

    /// Somebody else signed in on the device may not be let do what its author may: it is kept for them.
    fn waits_for_its_author(&self, refusal: &Refusal) -> bool {
        let another = self.operation.author.is_some_and(|author| author != self.caller.staff);
        another && matches!(refusal.code, Code::Forbidden | Code::NotFound)
    }

    /// Notes that it was handled, in the transaction of what it changed.
    async fn keep(&self, tx: Tx, refusal: Option<Refusal>) -> Result<Outcome, Refusal> {
        let handled = Handled {
            inspection: self.operation.inspection,
            staff: self.caller.staff,
            author: self.operation.author,
            done_at: self.operation.done_at,
            received_at: self.now,
            refusal,
        };
        operation::keep(&tx, &self.turn, &handled).await?;
        operation::advance(&tx, self.turn.device, self.turn.sequence, self.now).await?;
        tx.commit().await?;
        Ok(self.answered(&handled, Fate::Applied))
    }

    fn answered(&self, handled: &Handled<Refusal>, applied: Fate) -> Outcome {
        let receipt = Receipt {
            operation: self.turn.id,
            sequence: self.turn.sequence,
            received_at: handled.received_at,
            content_sha256: self.turn.content.clone(),
        };
        let fate = if handled.refusal.is_some() { Fate::Refused } else { applied };
        Outcome { id: self.turn.id, fate, problem: handled.refusal.clone(), receipt: Some(receipt) }
    }

    async fn apply(&self, tx: &Tx) -> Result<Signed, Refusal> {
        let (caller, of, at) = (self.caller, self.operation.inspection, self.operation.done_at);
        let deed: Deed = serde_json::from_value(self.operation.deed.clone()).map_err(|e| {
            Refusal::new(Code::BodyInvalid, format!("The deed is not understood: {e}."))
                .with(vec![Fault::new("/deed", e.to_string())])
        })?;
        match deed {
            Deed::Start { hire, leg, template } => {
                let asked = NewInspection { id: of, leg, device_time: self.sent_at };
                inspections::start_in(self.app, tx, caller, hire, &asked, template, (at, self.now)).await?;
            }
            Deed::Entry { id, mut input } => {
                input.replaces.get_or_insert_default();
                entries::put_in(tx, caller, of, id, input, at).await?;
            }
            Deed::EntryRemoved { id } => entries::remove_in(tx, caller, of, id).await?,
            Deed::Photo { id, subject, taken_at, sha256, bytes, width, height, content_type } => {
                let media_type = content_type;
                let told = Announced { id, subject, taken_at, sha256, bytes, width, height, media_type };
                photos::announce_in(tx, caller, of, told, self.now).await?;
            }
            Deed::PhotoRemoved { id } => photos::remove_in(tx, caller, of, id).await?,
            Deed::Mark { id, input } => {
                marks::put_in(tx, caller, of, id, input, at).await?;
            }
            Deed::MarkRemoved { id } => marks::remove_in(tx, caller, of, id).await?,
            Deed::Sighting { mark, input } => {
                sightings::put_in(tx, caller, of, mark, input, at).await?;
            }
            Deed::SightingRemoved { mark } => sightings::remove_in(tx, caller, of, mark).await?,
            Deed::Briefing { topic, input } => {
                briefings::put_in(tx, caller, of, topic, input, at).await?;
            }
            Deed::Handover { at } => {
                signing::hand_over_in(tx, caller, of, at.into()).await?;
            }
            Deed::Signature { role, input } => {
                signing::put_signature_in(tx, caller, of, role, input, self.now).await?;
            }
            Deed::Absence { reason, at } => {
                signing::note_absence_in(tx, caller, of, reason.into(), at).await?;
            }
            Deed::Sign(asked) => {
                let asked = Sign { device_time: self.sent_at, ..asked };
                return signing::sign_in(self.app, tx, caller, of, asked, (at, self.now), self.lang).await;
            }
            Deed::Addendum { id, input } => {
                addenda::put_in(self.app, tx, caller, of, id, input, (at, self.now)).await?;
            }
        }
        Ok(Signed::Closed)
    }
}
