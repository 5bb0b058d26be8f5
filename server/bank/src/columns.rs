//! CSV with named columns: which column is what is told by whoever knows the bank.

use crate::amount::unsigned;
use crate::entry::{Entry, Summary};
use crate::error::{BankError, Wrong};
use crate::guard::Guard;
use crate::identity::Identity;
use crate::lines::Lines;
use crate::{MOST_ENTRIES, cut};
use chrono::NaiveDate;
use csv::{ByteRecord, ReaderBuilder, StringRecord};
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
    mut file: R,
    columns: &Columns,
    mut take: impl FnMut(Entry) -> Result<(), BankError>,
) -> Result<Summary, BankError> {
    let wrong = |at: u64, entry: u64| move |wrong: Wrong| BankError { wrong, at, entry };
    let separator = separator(columns.separator).map_err(wrong(0, 0))?;
    skip_lines(&mut file, columns.skip_lines).map_err(|e| wrong(1, 0)(Wrong::Read(e.to_string())))?;
    // Bytes are made text value by value: a file need not be in memory.
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .from_reader(Lines::new(Guard::new(file), columns.skip_lines));
    let headers = reader.byte_headers().map_err(|e| wrong(1, 0)(Wrong::Read(e.to_string())))?.clone();
    let headers = decoded(headers.iter(), columns.encoding).map_err(wrong(1, 0))?;
    let places = places(&headers, columns).map_err(wrong(1, 0))?;
    let mut identity = Identity::default();
    let mut count = 0;
    let mut record = ByteRecord::new();
    while reader.read_byte_record(&mut record).map_err(|e| wrong(0, count + 1)(Wrong::Read(e.to_string())))? {
        let line = reader.get_mut().of(record.position().map_or(0, csv::Position::byte));
        reader.get_mut().inner().renew();
        let values = decoded(record.iter(), columns.encoding).map_err(wrong(line, count + 1))?;
        if values.iter().all(|v| v.trim().is_empty()) {
            continue;
        }
        count += 1;
        if count > MOST_ENTRIES {
            return Err(wrong(line, count)(Wrong::TooLarge(format!("more than {MOST_ENTRIES} entries"))));
        }
        let entry = entry(&values, &places, columns).map_err(wrong(line, count))?;
        take(identity.give(entry))?;
    }
    Ok(Summary { entries: count, pending: 0, accounts: vec![columns.account.clone()], version: None })
}

pub(crate) fn separator(separator: char) -> Result<u8, Wrong> {
    u8::try_from(separator).map_err(|_| Wrong::Value {
        of: "separator",
        value: separator.to_string(),
        advice: "use one plain character, such as , or ;".to_owned(),
    })
}

pub(crate) fn skip_lines<R: Read>(file: &mut R, lines: u32) -> std::io::Result<()> {
    let mut byte = [0];
    let mut left = lines;
    while left > 0 && file.read(&mut byte)? > 0 {
        if byte == [b'\n'] {
            left -= 1;
        }
    }
    Ok(())
}

pub(crate) fn decoded<'a>(values: impl Iterator<Item = &'a [u8]>, encoding: Encoding) -> Result<StringRecord, Wrong> {
    let mut record = StringRecord::new();
    for (index, value) in values.enumerate() {
        match encoding {
            Encoding::Utf8 => {
                let text = std::str::from_utf8(value).map_err(|e| Wrong::Encoding(e.to_string()))?;
                // A mark some programs put before the first name.
                record.push_field(if index == 0 { text.trim_start_matches('\u{feff}') } else { text });
            }
            Encoding::Windows1252 => {
                record.push_field(&encoding_rs::WINDOWS_1252.decode_without_bom_handling(value).0);
            }
        }
    }
    Ok(record)
}

fn places(headers: &StringRecord, columns: &Columns) -> Result<Places, Wrong> {
    let find =
        |name: &str| headers.iter().position(|h| h.trim() == name.trim()).ok_or_else(|| Wrong::Column(name.to_owned()));
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
