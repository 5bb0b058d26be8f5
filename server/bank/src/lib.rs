//! Statements of a bank account, read one entry at a time: ISO 20022 camt.053 in the versions in use, and CSV with
//! named columns; and what a payment provider's file tells of holds and captures. Whatever is wrong is told with its
//! place; nothing is guessed.

mod amount;
pub mod camt;
mod columns;
mod entry;
mod error;
mod guard;
mod identity;
mod lines;
mod payments;
mod table;

pub use columns::{Columns, Encoding, read as read_csv};
pub use entry::{Account, Entry, Summary};
pub use error::{BankError, Wrong};
pub use payments::{PaymentColumns, PaymentEvent, Told, read as read_payments};

/// Most characters that are kept of one field: longer ones are cut. The standard's longest is 500.
const LONGEST_FIELD: usize = 1000;
/// Most entries of one file.
const MOST_ENTRIES: u64 = 2_000_000;

fn cut(text: &str) -> String {
    text.trim().chars().take(LONGEST_FIELD).collect()
}
