//! Matching what banks say with the ledgers (rule 8).

use super::hires::locked;
use super::input::{EntryMatch, PutAside};
use super::ledger::record;
use super::view::{BankEntryView, Candidate, NamedHire};
use super::{App, Caller, Code, Page, PageAsk, Refusal};
use crate::store::record::{BankEntry, BankEntryState, BankMatch, Hire};
use crate::store::{Scope, StoreError, Tx, bank, hire, movement};
use handsel_domain::deposit::{Account, Means as By, Movement, MovementKind};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{BankEntryId, HireId};
use handsel_domain::money::Money;
use handsel_domain::policy::Action;
use handsel_domain::reconcile::{Entry, Expected, MatchedBy, Outcome, reconcile};
use handsel_domain::time::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Amounts whose entries are in memory together.
const AMOUNTS_AT_ONCE: usize = 100;
/// Days between a movement's recording and its booking, either way.
const WINDOW_DAYS: u32 = 5;

/// Movements that should show at the bank, with their hires.
struct Awaited {
    movements: Vec<(Movement, HireId)>,
    hires: BTreeMap<HireId, Hire>,
}

impl Awaited {
    async fn read(tx: &Tx) -> Result<Self, Refusal> {
        let movements = bank::unseen(tx).await?;
        let ids: BTreeSet<HireId> = movements.iter().map(|(_, hire)| *hire).collect();
        let ids: Vec<HireId> = ids.into_iter().collect();
        let mut hires = BTreeMap::new();
        for some in ids.chunks(500) {
            // Entries are of the operator's accounts, whichever depot a hire belongs to.
            hires.extend(hire::each(tx, Scope::All, some).await?.into_iter().map(|h| (h.id, h)));
        }
        Ok(Self { movements, hires })
    }

    fn expected(&self) -> Vec<Expected<'_>> {
        let each = self.movements.iter().map(|(movement, of)| {
            let hire = self.hires.get(of);
            Expected {
                amount: at_the_bank(movement),
                on: hire.map_or_else(|| Date(movement.at.utc().date_naive()), |h| h.zone.date(movement.at)),
                references: movement
                    .reference
                    .as_deref()
                    .into_iter()
                    .chain(hire.map(|h| h.reference.as_str()))
                    .collect(),
            }
        });
        each.collect()
    }
}

/// The amount as the bank says it: out of the hirer's pocket is in.
fn at_the_bank(movement: &Movement) -> Money {
    let (_, credited) = movement.kind.accounts();
    let Money { minor, currency } = movement.amount;
    Money::new(if credited == Account::Hirer { minor } else { minor.saturating_neg() }, currency)
}

fn asked(entry: &BankEntry) -> Entry<'_> {
    let words = entry.references.iter().map(String::as_str);
    let words = words.chain(entry.bank_reference.as_deref()).chain([entry.words.as_str()]);
    Entry { amount: entry.amount, on: entry.booked_on, words: words.collect(), reversal: entry.reversal }
}

/// Matches every open entry that fits one movement and nothing else; gives how many. Only what has the amount of a
/// movement can be matched, and entries of one amount are looked at together.
pub(super) async fn match_all(app: &App) -> Result<u64, Refusal> {
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let awaited = Awaited::read(&tx).await?;
    let expected = awaited.expected();
    let amounts: BTreeSet<i64> = expected.iter().map(|e| e.amount.minor).collect();
    let amounts: Vec<i64> = amounts.into_iter().collect();
    let mut done = 0;
    for some in amounts.chunks(AMOUNTS_AT_ONCE) {
        let open = bank::open_of(&tx, some).await?;
        let entries: Vec<Entry<'_>> = open.iter().map(asked).collect();
        for (entry, outcome) in open.iter().zip(reconcile(&entries, &expected, WINDOW_DAYS)) {
            if let Outcome::Matched { expected, by } = outcome
                && let Some((movement, hire)) = awaited.movements.get(expected)
            {
                let matched =
                    BankMatch { entry: entry.id, movement: movement.id, hire: *hire, means: by, by: None, at: now };
                bank::put_match(&tx, &matched).await?;
                done += 1;
            }
        }
    }
    tx.commit().await?;
    Ok(done)
}

/// A page of entries of one state, each with what it is or could be.
pub async fn entries(
    app: &App,
    caller: &Caller,
    state: BankEntryState,
    ask: &PageAsk,
) -> Result<Page<BankEntryView>, Refusal> {
    caller.must(Action::ReadBank)?;
    let tx = app.store.read().await?;
    let page = bank::entries(&tx, state, ask).await?;
    let next = page.next;
    Ok(Page { items: views(&tx, page.items).await?, next })
}

async fn views(tx: &Tx, entries: Vec<BankEntry>) -> Result<Vec<BankEntryView>, Refusal> {
    let matches = bank::matches(tx, entries.iter().map(|e| e.id)).await?;
    let awaited = if entries.iter().any(|e| e.state == BankEntryState::Open) {
        Awaited::read(tx).await?
    } else {
        Awaited { movements: Vec::new(), hires: BTreeMap::new() }
    };
    let asked_all: Vec<Entry<'_>> = entries.iter().map(asked).collect();
    let outcomes = reconcile(&asked_all, &awaited.expected(), WINDOW_DAYS);
    let mut shown = Vec::with_capacity(entries.len());
    for (entry, outcome) in entries.iter().zip(outcomes) {
        let open = entry.state == BankEntryState::Open;
        let fitting = match outcome {
            Outcome::Matched { expected, .. } => vec![expected],
            Outcome::Ambiguous { candidates } => candidates,
            Outcome::Unknown => Vec::new(),
        };
        let candidates = fitting.iter().filter_map(|e| awaited.movements.get(*e)).map(|(movement, of)| {
            let hire = awaited.hires.get(of);
            Candidate {
                same_amount: at_the_bank(movement) == entry.amount,
                movement: movement.clone(),
                hire: *of,
                reference: hire.map(|h| h.reference.clone()).unwrap_or_default(),
                hirer: hire.and_then(Hire::hirer).map(|d| d.name.clone()).unwrap_or_default(),
            }
        });
        shown.push(BankEntryView {
            matched: matches.iter().find(|m| m.entry == entry.id).cloned(),
            candidates: if open { candidates.collect() } else { Vec::new() },
            named: if open { named(tx, entry).await? } else { Vec::new() },
            entry: entry.clone(),
        });
    }
    Ok(shown)
}

/// Hires whose reference stands in an entry.
async fn named(tx: &Tx, entry: &BankEntry) -> Result<Vec<NamedHire>, Refusal> {
    let asked = asked(entry);
    let words: BTreeSet<&str> = asked.words.iter().flat_map(|w| w.split_whitespace()).collect();
    let hires = hire::by_references(tx, words).await?;
    Ok(hires
        .into_iter()
        .map(|hire| NamedHire {
            hire: hire.id,
            kind: likely(&hire, entry.amount),
            hirer: hire.hirer().map(|d| d.name.clone()).unwrap_or_default(),
            reference: hire.reference,
        })
        .collect())
}

/// Money that comes before the return is a deposit, later it pays a balance; money that goes out is given back.
const fn likely(hire: &Hire, amount: Money) -> MovementKind {
    match (amount.minor < 0, hire.status) {
        (true, _) => MovementKind::Refunded,
        (false, HireStatus::Booked | HireStatus::Out) => MovementKind::HoldPlaced,
        (false, HireStatus::Returned | HireStatus::Settled | HireStatus::Cancelled) => MovementKind::Paid,
    }
}

/// Says what an entry is.
pub async fn put_match(
    app: &App,
    caller: &Caller,
    id: BankEntryId,
    asked: EntryMatch,
) -> Result<BankEntryView, Refusal> {
    caller.must(Action::ReconcileBank)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let entry = bank::lock(&tx, id).await?.ok_or_else(|| Refusal::not_found("entry"))?;
    let wanted = match asked {
        EntryMatch::Movement { movement } => movement,
        EntryMatch::NewMovement { movement, .. } => movement,
    };
    if entry.state == BankEntryState::Matched {
        let known = bank::matches(&tx, [id].into_iter()).await?;
        if known.iter().any(|m| m.movement == wanted) {
            return one(&tx, entry).await;
        }
        return Err(refused("The entry is matched with another movement already: take that back first."));
    }
    if let EntryMatch::NewMovement { hire, movement, kind } = asked {
        let hire = locked(&tx, caller, hire).await?;
        let new = Movement {
            id: movement,
            kind,
            means: By::Transfer,
            amount: Money::new(entry.amount.minor.saturating_abs(), entry.amount.currency),
            reference: entry.bank_reference.clone(),
            note: None,
            payer: entry.party.clone(),
            hold_ends_at: None,
            at: now,
        };
        let _taken = record(app, &tx, caller, &hire, &new).await?;
    }
    let Some((stored, hire)) = movement::known(&tx, wanted).await? else {
        return Err(Refusal::value("/movement", "there is no such movement"));
    };
    locked(&tx, caller, hire).await?;
    if at_the_bank(&stored.movement) != entry.amount {
        return Err(refused("The movement's amount or direction is not the entry's: record what the bank says moved."));
    }
    let matched =
        BankMatch { entry: id, movement: wanted, hire, means: MatchedBy::Person, by: Some(caller.staff), at: now };
    bank::put_match(&tx, &matched).await.map_err(|error| match error {
        StoreError::Taken(_) => refused("The movement is matched with another entry already: take that back first."),
        other => other.into(),
    })?;
    let entry = bank::lock(&tx, id).await?.ok_or_else(|| Refusal::not_found("entry"))?;
    let view = one(&tx, entry).await?;
    tx.commit().await?;
    app.post.notify_one();
    Ok(view)
}

async fn one(tx: &Tx, entry: BankEntry) -> Result<BankEntryView, Refusal> {
    let views = views(tx, vec![entry]).await?;
    views.into_iter().next().ok_or_else(|| Refusal::internal("an entry has no view"))
}

fn refused(words: &str) -> Refusal {
    Refusal::new(Code::MatchRefused, words)
}

/// Takes a match back; the movement stays.
pub async fn remove_match(app: &App, caller: &Caller, id: BankEntryId) -> Result<(), Refusal> {
    caller.must(Action::ReconcileBank)?;
    let tx = app.store.write().await?;
    bank::lock(&tx, id).await?.ok_or_else(|| Refusal::not_found("entry"))?;
    bank::remove_match(&tx, id).await?;
    Ok(tx.commit().await?)
}

/// Puts an entry aside: it is none of a deposit. Without a reason it is open again.
pub async fn put_aside(app: &App, caller: &Caller, id: BankEntryId, asked: PutAside) -> Result<BankEntryView, Refusal> {
    caller.must(Action::ReconcileBank)?;
    let mut checks = super::check::Checks::default();
    if let Some(reason) = &asked.reason {
        checks.line("/reason", reason);
    }
    checks.done()?;
    let tx = app.store.write().await?;
    let entry = bank::lock(&tx, id).await?.ok_or_else(|| Refusal::not_found("entry"))?;
    if entry.state == BankEntryState::Matched {
        return Err(refused("The entry is matched: take that back first."));
    }
    bank::put_aside(&tx, id, asked.reason.as_deref()).await?;
    let entry = bank::lock(&tx, id).await?.ok_or_else(|| Refusal::not_found("entry"))?;
    let view = one(&tx, entry).await?;
    tx.commit().await?;
    Ok(view)
}
