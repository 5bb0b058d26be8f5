use chrono::NaiveDate;
use handsel_domain::money::Money;

/// Whose statement it is: an IBAN, or another number of the bank's.
pub type Account = String;

/// One entry of a statement; of a collective entry each payment in it, where their amounts are told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The same for the same entry in whatever file it comes again: SHA-256 in lower-case hexadecimal.
    pub key: String,
    pub account: Account,
    /// Positive: money came in. Negative: it went out.
    pub amount: Money,
    /// It undoes an earlier entry: a credit that reverses a debit, or the other way about.
    pub reversal: bool,
    pub booked_on: NaiveDate,
    pub value_on: Option<NaiveDate>,
    /// The bank's own reference.
    pub bank_reference: Option<String>,
    /// References the payer or we gave: end-to-end, instruction, creditor's reference.
    pub references: Vec<String>,
    /// Who paid, or was paid.
    pub party: Option<String>,
    /// What was written with it.
    pub text: String,
}

/// What a whole file came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    pub entries: u64,
    /// Announced and not booked yet: left out, they come again once they are.
    pub pending: u64,
    pub accounts: Vec<Account>,
    /// The standard's name of its version, such as `camt.053.001.08`; none for CSV.
    pub version: Option<String>,
}
