//! What banks say: files, their entries, and what each was matched with.

use super::convert::{at, from_json, from_word, json, money, word};
use super::entity::{bank_entry, bank_import, bank_match, movement};
use super::error::{StoreError, Stored};
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::{BankEntry, BankEntryState, BankImport, BankMatch, ImportState};
use super::rows::{insert as insert_row, whole};
use super::{Tx, movement as movements};
use handsel_domain::deposit::{Means, Movement};
use handsel_domain::ids::{BankEntryId, HireId, ImportId, MovementId, StaffId};
use handsel_domain::time::{Date, Instant};
use sea_orm::sea_query::{Expr, ExprTrait, OnConflict, Order, Query};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect, Value};

fn number(what: &str, number: i64) -> Stored<u64> {
    u64::try_from(number).map_err(|e| StoreError::Damaged(format!("{what}: {e}")))
}

fn signed(what: &str, number: u64) -> Stored<i64> {
    i64::try_from(number).map_err(|e| StoreError::Damaged(format!("{what}: {e}")))
}

impl TryFrom<bank_import::Model> for BankImport {
    type Error = StoreError;

    fn try_from(row: bank_import::Model) -> Stored<Self> {
        Ok(Self {
            id: ImportId(row.id),
            name: row.name,
            sha256: row.sha256,
            format: from_word("format of a bank's file", &row.format)?,
            version: row.version,
            accounts: from_json("accounts of a bank's file", row.accounts)?,
            entries: number("entries of a bank's file", row.entries)?,
            read: number("entries read", row.read)?,
            added: number("entries added", row.added)?,
            pending: number("pending entries", row.pending)?,
            state: from_word("state of an import", &row.state)?,
            reason: row.reason,
            by: StaffId(row.by),
            at: at(row.at),
            ended_at: row.ended_at.map(at),
        })
    }
}

pub async fn insert_import(tx: &Tx, import: &BankImport) -> Stored<()> {
    let row = bank_import::Model {
        id: import.id.0,
        name: import.name.clone(),
        sha256: import.sha256.clone(),
        format: word("format of a bank's file", &import.format)?,
        version: import.version.clone(),
        accounts: json("accounts of a bank's file", &import.accounts)?,
        entries: signed("entries of a bank's file", import.entries)?,
        read: 0,
        added: 0,
        pending: signed("pending entries", import.pending)?,
        state: word("state of an import", &import.state)?,
        reason: None,
        by: import.by.0,
        at: import.at.utc(),
        ended_at: None,
    };
    insert_row(tx, row).await
}

pub async fn import(tx: &Tx, id: ImportId) -> Stored<Option<BankImport>> {
    bank_import::Entity::find_by_id(id.0).one(tx.conn()).await?.map(BankImport::try_from).transpose()
}

/// Newest first; at most 100.
pub async fn imports(tx: &Tx) -> Stored<Vec<BankImport>> {
    let rows = bank_import::Entity::find()
        .order_by_desc(bank_import::Column::At)
        .order_by_desc(bank_import::Column::Id)
        .limit(100)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(BankImport::try_from).collect()
}

/// So many more entries were gone through, and so many of them added.
pub async fn progress(tx: &Tx, id: ImportId, read: u64, added: u64) -> Stored<()> {
    use bank_import::Column;
    bank_import::Entity::update_many()
        .col_expr(Column::Read, Expr::col(Column::Read).add(signed("entries read", read)?))
        .col_expr(Column::Added, Expr::col(Column::Added).add(signed("entries added", added)?))
        .filter(Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

pub async fn end(tx: &Tx, id: ImportId, state: ImportState, reason: Option<&str>, now: Instant) -> Stored<()> {
    use bank_import::Column;
    bank_import::Entity::update_many()
        .col_expr(Column::State, Expr::value(word("state of an import", &state)?))
        .col_expr(Column::Reason, Expr::value(reason))
        .col_expr(Column::EndedAt, Expr::value(now.utc()))
        .filter(Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Imports that were running when the server ended: they broke off.
pub async fn break_off(tx: &Tx, reason: &str, now: Instant) -> Stored<u64> {
    use bank_import::Column;
    let done = bank_import::Entity::update_many()
        .col_expr(Column::State, Expr::value(word("state of an import", &ImportState::Broken)?))
        .col_expr(Column::Reason, Expr::value(reason))
        .col_expr(Column::EndedAt, Expr::value(now.utc()))
        .filter(Column::State.eq(word("state of an import", &ImportState::Running)?))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected)
}

/// An entry with what makes it the same wherever it comes.
#[derive(Clone, Debug)]
pub struct NewEntry {
    pub identity: String,
    pub entry: BankEntry,
}

/// Keeps entries that are not there yet; says how many those were.
pub async fn add_entries(tx: &Tx, entries: Vec<NewEntry>) -> Stored<u64> {
    if entries.is_empty() {
        return Ok(0);
    }
    let mut rows = Vec::with_capacity(entries.len());
    for NewEntry { identity, entry } in entries {
        rows.push(whole(bank_entry::Model {
            id: entry.id.0,
            import_id: entry.import.0,
            identity,
            account: entry.account,
            amount_minor: entry.amount.minor,
            currency: entry.amount.currency.code().to_owned(),
            reversal: entry.reversal,
            booked_on: entry.booked_on.to_string(),
            value_on: entry.value_on.map(|d| d.to_string()),
            bank_reference: entry.bank_reference,
            references: json("references of an entry", &entry.references)?,
            party: entry.party,
            words: entry.words,
            state: word("state of an entry", &entry.state)?,
            aside_reason: None,
        }));
    }
    let known = OnConflict::column(bank_entry::Column::Identity).do_nothing().to_owned();
    Ok(bank_entry::Entity::insert_many(rows).on_conflict(known).exec_without_returning(tx.conn()).await?)
}

impl TryFrom<bank_entry::Model> for BankEntry {
    type Error = StoreError;

    fn try_from(row: bank_entry::Model) -> Stored<Self> {
        let day = |text: &str| text.parse::<Date>().map_err(StoreError::Damaged);
        Ok(Self {
            id: BankEntryId(row.id),
            import: ImportId(row.import_id),
            account: row.account,
            amount: money("bank entry", row.amount_minor, &row.currency)?,
            reversal: row.reversal,
            booked_on: day(&row.booked_on)?,
            value_on: row.value_on.as_deref().map(day).transpose()?,
            bank_reference: row.bank_reference,
            references: from_json("references of an entry", row.references)?,
            party: row.party,
            words: row.words,
            state: from_word("state of an entry", &row.state)?,
            aside_reason: row.aside_reason,
        })
    }
}

/// A page of entries of one state, the earliest first.
pub async fn entries(tx: &Tx, state: BankEntryState, ask: &PageAsk) -> Stored<Page<BankEntry>> {
    let select = bank_entry::Entity::find().filter(bank_entry::Column::State.eq(word("state of an entry", &state)?));
    let by = By::<bank_entry::Entity> {
        column: bank_entry::Column::BookedOn,
        id: bank_entry::Column::Id,
        order: Order::Asc,
        value: |text| text.parse::<Date>().ok().map(|day| Value::from(day.to_string())),
        cursor: |row| Cursor(row.booked_on.clone(), row.id),
    };
    page(tx, select, &by, ask).await?.try_map(BankEntry::try_from)
}

/// Entries of some amounts, in minor units, that nobody knows yet.
pub async fn open_of(tx: &Tx, amounts: &[i64]) -> Stored<Vec<BankEntry>> {
    let rows = bank_entry::Entity::find()
        .filter(bank_entry::Column::State.eq(word("state of an entry", &BankEntryState::Open)?))
        .filter(bank_entry::Column::AmountMinor.is_in(amounts.iter().copied()))
        .order_by_asc(bank_entry::Column::BookedOn)
        .order_by_asc(bank_entry::Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(BankEntry::try_from).collect()
}

/// An entry, and nobody else decides on it until the transaction ends.
pub async fn lock(tx: &Tx, id: BankEntryId) -> Stored<Option<BankEntry>> {
    let row = bank_entry::Entity::find_by_id(id.0).lock_exclusive().one(tx.conn()).await?;
    row.map(BankEntry::try_from).transpose()
}

async fn enter(tx: &Tx, id: BankEntryId, state: BankEntryState, reason: Option<&str>) -> Stored<()> {
    bank_entry::Entity::update_many()
        .col_expr(bank_entry::Column::State, Expr::value(word("state of an entry", &state)?))
        .col_expr(bank_entry::Column::AsideReason, Expr::value(reason))
        .filter(bank_entry::Column::Id.eq(id.0))
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Puts an entry aside, or back.
pub async fn put_aside(tx: &Tx, id: BankEntryId, reason: Option<&str>) -> Stored<()> {
    let state = if reason.is_some() { BankEntryState::Aside } else { BankEntryState::Open };
    enter(tx, id, state, reason).await
}

/// Matches an entry with a movement. Either is matched once: the database refuses a second time.
pub async fn put_match(tx: &Tx, matched: &BankMatch) -> Stored<()> {
    let row = bank_match::Model {
        entry_id: matched.entry.0,
        movement_id: matched.movement.0,
        hire_id: matched.hire.0,
        means: word("means of a match", &matched.means)?,
        by: matched.by.map(|s| s.0),
        at: matched.at.utc(),
    };
    insert_row(tx, row).await?;
    enter(tx, matched.entry, BankEntryState::Matched, None).await
}

/// Takes a match back; says whether there was one.
pub async fn remove_match(tx: &Tx, entry: BankEntryId) -> Stored<bool> {
    let done = bank_match::Entity::delete_by_id(entry.0).exec(tx.conn()).await?;
    if done.rows_affected == 1 {
        enter(tx, entry, BankEntryState::Open, None).await?;
    }
    Ok(done.rows_affected == 1)
}

/// What some entries were matched with.
pub async fn matches(tx: &Tx, entries: impl Iterator<Item = BankEntryId>) -> Stored<Vec<BankMatch>> {
    let rows = bank_match::Entity::find()
        .filter(bank_match::Column::EntryId.is_in(entries.map(|e| e.0)))
        .all(tx.conn())
        .await?;
    rows.into_iter()
        .map(|row| {
            Ok(BankMatch {
                entry: BankEntryId(row.entry_id),
                movement: MovementId(row.movement_id),
                hire: HireId(row.hire_id),
                means: from_word("means of a match", &row.means)?,
                by: row.by.map(StaffId),
                at: at(row.at),
            })
        })
        .collect()
}

/// Movements by transfer that no entry was matched with, oldest first.
pub async fn unseen(tx: &Tx) -> Stored<Vec<(Movement, HireId)>> {
    let seen = Query::select().column(bank_match::Column::MovementId).from(bank_match::Entity).to_owned();
    let rows = movement::Entity::find()
        .filter(movement::Column::Means.eq(word("movement means", &Means::Transfer)?))
        .filter(movement::Column::Id.not_in_subquery(seen))
        .order_by_asc(movement::Column::At)
        .order_by_asc(movement::Column::Id)
        .all(tx.conn())
        .await?;
    rows.into_iter()
        .map(|row| {
            let hire = HireId(row.hire_id);
            Ok((movements::typed(row)?.movement, hire))
        })
        .collect()
}
