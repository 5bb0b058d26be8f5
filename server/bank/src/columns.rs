//! CSV with named columns: which column is what is told by whoever knows the bank.

use crate::amount::unsigned;
use crate::cut;
use crate::entry::{Entry, Summary};
use crate::error::{BankError, Wrong};
use crate::identity::Identity;
use crate::table::{Shape, each, place};
use chrono::NaiveDate;
use csv::StringRecord;
use handsel_domain::money::{Currency, Money};
use serde::{Deserialize, Serialize};
use std::io::Read;
use utoipa::ToSchema;

/// How a file's bytes are text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Encoding {
    #[default]
    Utf8,
    Windows1252,
}

/// Which column is what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Columns {
    /// Whose statement it is, as the files do not say.
    pub account: String,
    pub currency: Currency,
    #[serde(default)]
    pub encoding: Encoding,
    /// One character between values, such as `,` or `;`.
    pub separator: char,
    /// `.` or `,`; the other one may stand between thousands.
    pub decimal: char,
    /// As `%d.%m.%Y`, `%Y-%m-%d` or `%d/%m/%Y`.
    pub date_format: String,
    /// Lines above the one with the names.
    #[serde(default)]
    pub skip_lines: u32,
    pub booked_on: String,
    #[serde(default)]
    pub value_on: Option<String>,
    /// One column with a sign, or two without.
    #[serde(default)]
    pub amount: Option<String>,
    #[serde(default)]
    pub money_in: Option<String>,
    #[serde(default)]
    pub money_out: Option<String>,
    #[serde(default)]
    pub bank_reference: Option<String>,
    #[serde(default)]
    pub reference: Option<String>,
    #[serde(default)]
    pub party: Option<String>,
    /// Joined by spaces.
    #[serde(default)]
    pub text: Vec<String>,
}

/// Where each column is.
struct Places {
    booked_on: usize,
    value_on: Option<usize>,
    amount: Option<usize>,
    money_in: Option<usize>,
    money_out: Option<usize>,
    bank_reference: Option<usize>,
    reference: Option<usize>,
    party: Option<usize>,
    text: Vec<usize>,
}

/// Reads a file, giving each entry as it comes.
///
/// # Errors
/// The first thing that is wrong, by line; or what `take` refuses.
pub fn read<R: Read>(
    file: R,
    columns: &Columns,
    mut take: impl FnMut(Entry) -> Result<(), BankError>,
) -> Result<Summary, BankError> {
    let mut identity = Identity::default();
    let shape = Shape { separator: columns.separator, encoding: columns.encoding, skip_lines: columns.skip_lines };
    let find = |headers: &StringRecord| places(headers, columns);
    let read = |values: &StringRecord, places: &Places| entry(values, places, columns);
    let entries = each(file, shape, find, read, |_, entry| take(identity.give(entry)))?;
    Ok(Summary { entries, pending: 0, accounts: vec![columns.account.clone()], version: None })
}

fn places(headers: &StringRecord, columns: &Columns) -> Result<Places, Wrong> {
    let find = |name: &str| place(headers, name);
    let may = |name: &Option<String>| name.as_deref().map(find).transpose();
    let places = Places {
        booked_on: find(&columns.booked_on)?,
        value_on: may(&columns.value_on)?,
        amount: may(&columns.amount)?,
        money_in: may(&columns.money_in)?,
        money_out: may(&columns.money_out)?,
        bank_reference: may(&columns.bank_reference)?,
        reference: may(&columns.reference)?,
        party: may(&columns.party)?,
        text: columns.text.iter().map(|name| find(name)).collect::<Result<_, _>>()?,
    };
    if places.amount.is_some() == (places.money_in.is_some() || places.money_out.is_some()) {
        return Err(Wrong::Missing("either one column for amounts with a sign, or columns for money in and money out"));
    }
    Ok(places)
}

fn entry(values: &StringRecord, places: &Places, columns: &Columns) -> Result<Entry, Wrong> {
    let value = |place: usize| values.get(place).unwrap_or_default().trim();
    let may = |place: Option<usize>| place.map(value).filter(|v| !v.is_empty());
    let date = |of: &'static str, text: &str| {
        NaiveDate::parse_from_str(text, &columns.date_format).map_err(|_| Wrong::Value {
            of,
            value: cut(text),
            advice: format!("it must be a date written as {}", columns.date_format),
        })
    };
    let amount = match (may(places.amount), may(places.money_in), may(places.money_out)) {
        (Some(signed), _, _) => signed_amount(signed, columns)?,
        (None, Some(money), None) => plain_amount(money, columns.currency, columns.decimal)?,
        (None, None, Some(money)) => negative(plain_amount(money, columns.currency, columns.decimal)?),
        (None, None, None) => return Err(Wrong::Missing("the amount")),
        (None, Some(_), Some(_)) => {
            return Err(Wrong::Missing("one of money in and money out: both are filled, so that it"));
        }
    };
    let text: Vec<&str> = places.text.iter().map(|p| value(*p)).filter(|v| !v.is_empty()).collect();
    Ok(Entry {
        key: String::new(),
        account: columns.account.clone(),
        amount,
        reversal: false,
        booked_on: date("the booking date", value(places.booked_on))?,
        value_on: may(places.value_on).map(|v| date("the value date", v)).transpose()?,
        bank_reference: may(places.bank_reference).map(cut),
        references: may(places.reference).map(cut).into_iter().collect(),
        party: may(places.party).map(cut),
        text: cut(&text.join(" ")),
    })
}

fn negative(money: Money) -> Money {
    Money::new(money.minor.saturating_neg(), money.currency)
}

fn signed_amount(text: &str, columns: &Columns) -> Result<Money, Wrong> {
    match text.strip_prefix('-').or_else(|| text.strip_prefix('\u{2212}')) {
        Some(rest) => Ok(negative(plain_amount(rest.trim(), columns.currency, columns.decimal)?)),
        None => plain_amount(text.strip_prefix('+').unwrap_or(text).trim(), columns.currency, columns.decimal),
    }
}

/// An amount without a sign, perhaps with marks between thousands.
pub(crate) fn plain_amount(text: &str, currency: Currency, decimal: char) -> Result<Money, Wrong> {
    let thousands = if decimal == ',' { '.' } else { ',' };
    let bare: String = text.chars().filter(|c| *c != thousands && *c != ' ' && *c != '\u{a0}' && *c != '\'').collect();
    unsigned(&bare, currency, decimal).map_err(|advice| Wrong::Value {
        of: "the amount",
        value: cut(text),
        advice: advice.to_owned(),
    })
}
