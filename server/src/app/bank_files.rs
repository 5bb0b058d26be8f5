//! Reading banks' files in.

use super::bank::match_all;
use super::once::id_taken;
use super::{App, Caller, Code, Refusal};
use crate::store::bank;
use crate::store::record::{BankEntry, BankEntryState, BankFormat, BankImport, ImportState};
use handsel_bank::{BankError, Columns, Entry as Read, Summary, camt, read_csv};
use handsel_domain::ids::{BankEntryId, ImportId};
use handsel_domain::policy::Action;
use handsel_domain::time::Date;
use std::fs::File;
use std::io::{BufReader, Seek, SeekFrom};
use tokio::sync::mpsc;

/// Entries kept in one transaction.
const BATCH: usize = 500;

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
