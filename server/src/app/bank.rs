//! Reading banks' files in, and matching their entries with the ledgers (rule 8).

use super::hires::locked;
use super::input::{EntryMatch, PutAside};
use super::ledger::record;
use super::once::id_taken;
use super::view::{BankEntryView, Candidate, NamedHire};
use super::{App, Caller, Code, Page, PageAsk, Refusal};
use crate::store::record::{BankEntry, BankEntryState, BankFormat, BankImport, BankMatch, Hire, ImportState};
use crate::store::{Scope, StoreError, Tx, bank, hire, movement};
use handsel_bank::{BankError, Columns, Entry as Read, Summary, camt, read_csv};
use handsel_domain::deposit::{Account, Means as By, Movement, MovementKind};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{BankEntryId, HireId, ImportId};
use handsel_domain::money::Money;
use handsel_domain::policy::Action;
use handsel_domain::reconcile::{Entry, Expected, Means, Outcome, reconcile};
use handsel_domain::time::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{BufReader, Seek, SeekFrom};
use tokio::sync::mpsc;

/// Entries kept in one transaction.
const BATCH: usize = 500;
/// Amounts whose entries are in memory together.
const AMOUNTS_AT_ONCE: usize = 100;
/// Days between a movement's recording and its booking, either way.
const WINDOW_DAYS: u32 = 5;

/// A file on its way in.
#[derive(Debug)]
pub struct Sent {
    pub id: ImportId,
    pub name: String,
    pub sha256: String,
    /// Column names of a CSV; none: camt.053.
    pub columns: Option<Columns>,
    /// Its bytes, from the start.
    pub file: File,
}

impl From<BankError> for Refusal {
    fn from(error: BankError) -> Self {
        Self::new(Code::BankFileRefused, error.to_string())
            .and("reason", error.wrong.code())
            .and("at", error.at)
            .and("entry", error.entry)
    }
}

/// Reads a file in. It is gone through once before anything is kept: a file that is not whole changes nothing. Keeping
/// goes on after the answer; what is there already stays single.
pub async fn take(app: &App, caller: &Caller, sent: Sent) -> Result<BankImport, Refusal> {
    caller.must(Action::ReconcileBank)?;
    let Sent { id, name, sha256, columns, file } = sent;
    let format = if columns.is_some() { BankFormat::Csv } else { BankFormat::Camt053 };
    if let Some(known) = bank::import(&app.store.read().await?, id).await? {
        return if known.sha256 == sha256 { Ok(known) } else { Err(id_taken("import")) };
    }
    let (columns, file, summary) = tokio::task::spawn_blocking(move || {
        let summary = go_through(&file, columns.as_ref(), |_| Ok(()));
        summary.map(|summary| (columns, file, summary))
    })
    .await
    .map_err(Refusal::internal)??;
    let import = BankImport {
        id,
        name,
        sha256,
        format,
        version: summary.version,
        accounts: summary.accounts,
        entries: summary.entries,
        read: 0,
        added: 0,
        pending: summary.pending,
        state: ImportState::Running,
        reason: None,
        by: caller.staff,
        at: app.effects.now(),
        ended_at: None,
    };
    let tx = app.store.write().await?;
    bank::insert_import(&tx, &import).await?;
    tx.commit().await?;
    let app = app.clone();
    tokio::spawn(async move {
        if let Err(refusal) = keep(&app, id, columns, file).await {
            tracing::error!(import = %id, %refusal, "a bank's file broke off");
            if let Err(second) = end(&app, id, ImportState::Broken, Some(&refusal.detail)).await {
                tracing::error!(import = %id, refusal = %second, "and that could not be noted");
            }
        }
    });
    Ok(import)
}

fn go_through(
    mut file: &File,
    columns: Option<&Columns>,
    take: impl FnMut(Read) -> Result<(), BankError>,
) -> Result<Summary, Refusal> {
    file.seek(SeekFrom::Start(0)).map_err(Refusal::internal)?;
    let summary = match columns {
        Some(columns) => read_csv(file, columns, take),
        None => camt::read(BufReader::new(file), take),
    };
    Ok(summary?)
}

async fn end(app: &App, id: ImportId, state: ImportState, reason: Option<&str>) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    bank::end(&tx, id, state, reason, app.effects.now()).await?;
    Ok(tx.commit().await?)
}

/// Keeps the entries batch by batch, then matches what is new.
async fn keep(app: &App, id: ImportId, columns: Option<Columns>, file: File) -> Result<(), Refusal> {
    // Few batches wait: the file is read no faster than it is kept.
    let (give, mut get) = mpsc::channel::<Vec<Read>>(2);
    let reading = tokio::task::spawn_blocking(move || {
        let mut batch = Vec::with_capacity(BATCH);
        let summary = go_through(&file, columns.as_ref(), |entry| {
            batch.push(entry);
            if batch.len() == BATCH {
                // Nobody takes them any more: keeping has failed, and says so itself.
                let _taken = give.blocking_send(std::mem::take(&mut batch));
            }
            Ok(())
        });
        let _taken = give.blocking_send(batch);
        summary
    });
    while let Some(batch) = get.recv().await {
        let read = u64::try_from(batch.len()).map_err(Refusal::internal)?;
        let entries = batch.into_iter().map(|entry| new_entry(app, id, entry)).collect();
        let tx = app.store.write().await?;
        let added = bank::add_entries(&tx, entries).await?;
        bank::progress(&tx, id, read, added).await?;
        tx.commit().await?;
    }
    reading.await.map_err(Refusal::internal)??;
    match_all(app).await?;
    end(app, id, ImportState::Done, None).await
}

fn new_entry(app: &App, import: ImportId, read: Read) -> bank::NewEntry {
    let entry = BankEntry {
        id: BankEntryId(app.effects.ids.next()),
        import,
        account: read.account,
        amount: read.amount,
        reversal: read.reversal,
        booked_on: Date(read.booked_on),
        value_on: read.value_on.map(Date),
        bank_reference: read.bank_reference,
        references: read.references,
        party: read.party,
        words: read.text,
        state: BankEntryState::Open,
        aside_reason: None,
    };
    bank::NewEntry { identity: read.key, entry }
}

/// Imports that a stopped server left running have broken off.
pub async fn break_off(app: &App) -> Result<u64, Refusal> {
    let tx = app.store.write().await?;
    let reason = "The server stopped while the file was read in: send it again; what is kept already stays single.";
    let broken = bank::break_off(&tx, reason, app.effects.now()).await?;
    tx.commit().await?;
    Ok(broken)
}

pub async fn imports(app: &App, caller: &Caller) -> Result<Vec<BankImport>, Refusal> {
    caller.must(Action::ReadBank)?;
    Ok(bank::imports(&app.store.read().await?).await?)
}

pub async fn import(app: &App, caller: &Caller, id: ImportId) -> Result<BankImport, Refusal> {
    caller.must(Action::ReadBank)?;
    let known = bank::import(&app.store.read().await?, id).await?;
    known.ok_or_else(|| Refusal::not_found("import"))
}

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
        record(app, &tx, caller, &hire, &new).await?;
    }
    let Some((stored, hire)) = movement::known(&tx, wanted).await? else {
        return Err(Refusal::value("/movement", "there is no such movement"));
    };
    locked(&tx, caller, hire).await?;
    if at_the_bank(&stored.movement) != entry.amount {
        return Err(refused("The movement's amount or direction is not the entry's: record what the bank says moved."));
    }
    let matched =
        BankMatch { entry: id, movement: wanted, hire, means: Means::Person, by: Some(caller.staff), at: now };
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
