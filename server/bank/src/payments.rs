//! What a payment provider tells of holds and captures, as CSV with named columns and the provider's own words.

use crate::columns::{Encoding, plain_amount};
use crate::cut;
use crate::error::{BankError, Wrong};
use crate::table::{Shape, each, place};
use chrono::{DateTime, NaiveDateTime, Utc};
use csv::StringRecord;
use handsel_domain::deposit::{Means, MovementKind};
use handsel_domain::money::{Currency, Money};
use serde::de::IntoDeserializer;
use serde::de::value::Error as NotOwn;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::Read;
use utoipa::ToSchema;

/// Which column is what, and what the provider's words mean.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PaymentColumns {
    /// Of every amount, where no column names it.
    pub currency: Currency,
    #[serde(default)]
    pub encoding: Encoding,
    /// One character between values, such as `,` or `;`.
    pub separator: char,
    /// `.` or `,`; the other one may stand between thousands.
    pub decimal: char,
    /// Lines above the one with the names.
    #[serde(default)]
    pub skip_lines: u32,
    /// The provider's own mark of each event, never the same for two: what makes the same file twice one.
    pub event: String,
    /// The hire's reference.
    pub hire: String,
    pub kind: String,
    /// What each of the provider's words means. The names of the kinds themselves need no line.
    #[serde(default)]
    pub kinds: BTreeMap<String, MovementKind>,
    /// The provider's words for what is none of a deposit, such as its own fees.
    #[serde(default)]
    pub pass_over: Vec<String>,
    pub amount: String,
    /// How the money moves; a card where left out.
    #[serde(default)]
    pub means: Option<Means>,
    #[serde(default)]
    pub currency_column: Option<String>,
    /// The reference that a hold and what comes of it have in common.
    #[serde(default)]
    pub reference: Option<String>,
    #[serde(default)]
    pub payer: Option<String>,
    #[serde(default)]
    pub note: Option<String>,
    /// When it happened; when it is read in where left out.
    #[serde(default)]
    pub at: Option<String>,
    /// When a hold lapses.
    #[serde(default)]
    pub hold_ends_at: Option<String>,
    /// How moments without an offset are written, such as `%Y-%m-%d %H:%M:%S`, in UTC. Left out: as in RFC 3339.
    #[serde(default)]
    pub time_format: Option<String>,
}

/// One thing that happened to somebody's money.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaymentEvent {
    pub event: String,
    pub hire: String,
    pub kind: MovementKind,
    pub means: Means,
    pub amount: Money,
    pub reference: Option<String>,
    pub payer: Option<String>,
    pub note: Option<String>,
    pub at: Option<DateTime<Utc>>,
    pub hold_ends_at: Option<DateTime<Utc>>,
}

/// What one line tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// Something a ledger records.
    Event(Box<PaymentEvent>),
    /// Something that it was said to pass over.
    Passed,
}

/// Where each column is.
struct Places {
    event: usize,
    hire: usize,
    kind: usize,
    amount: usize,
    currency: Option<usize>,
    reference: Option<usize>,
    payer: Option<usize>,
    note: Option<usize>,
    at: Option<usize>,
    hold_ends_at: Option<usize>,
}

impl Places {
    fn find(headers: &StringRecord, columns: &PaymentColumns) -> Result<Self, Wrong> {
        let find = |name: &str| place(headers, name);
        let may = |name: &Option<String>| name.as_deref().map(find).transpose();
        Ok(Self {
            event: find(&columns.event)?,
            hire: find(&columns.hire)?,
            kind: find(&columns.kind)?,
            amount: find(&columns.amount)?,
            currency: may(&columns.currency_column)?,
            reference: may(&columns.reference)?,
            payer: may(&columns.payer)?,
            note: may(&columns.note)?,
            at: may(&columns.at)?,
            hold_ends_at: may(&columns.hold_ends_at)?,
        })
    }
}

/// Reads a file, giving each line's number and what it tells as it comes; and how many told something.
///
/// # Errors
/// The first thing that is wrong, by line; or what `take` refuses.
pub fn read<R: Read>(
    file: R,
    columns: &PaymentColumns,
    take: impl FnMut(u64, Told) -> Result<(), BankError>,
) -> Result<u64, BankError> {
    let shape = Shape { separator: columns.separator, encoding: columns.encoding, skip_lines: columns.skip_lines };
    let find = |headers: &StringRecord| Places::find(headers, columns);
    each(file, shape, find, |values, places| told(values, places, columns), take)
}

fn told(values: &StringRecord, places: &Places, columns: &PaymentColumns) -> Result<Told, Wrong> {
    let value = |place: usize| values.get(place).unwrap_or_default().trim();
    let may = |place: Option<usize>| place.map(value).filter(|v| !v.is_empty());
    let must = |place: usize, of: &'static str| Some(value(place)).filter(|v| !v.is_empty()).ok_or(Wrong::Missing(of));
    let Some(kind) = kind(must(places.kind, "what happened")?, columns)? else { return Ok(Told::Passed) };
    let currency = match may(places.currency) {
        Some(code) => Currency::from_code(code).ok_or_else(|| Wrong::Value {
            of: "the currency",
            value: cut(code),
            advice: "it must be the three letters of a currency in use (ISO 4217)".to_owned(),
        })?,
        None => columns.currency,
    };
    let time = |of: &'static str, place: Option<usize>| may(place).map(|text| moment(of, text, columns)).transpose();
    Ok(Told::Event(Box::new(PaymentEvent {
        event: cut(must(places.event, "the event's own mark")?),
        hire: cut(must(places.hire, "the hire's reference")?),
        kind,
        means: columns.means.unwrap_or(Means::Card),
        // A hold that is only kept longer has none.
        amount: match value(places.amount) {
            "" if kind == MovementKind::HoldExtended => Money::zero(currency),
            text => plain_amount(text, currency, columns.decimal)?,
        },
        reference: may(places.reference).map(cut),
        payer: may(places.payer).map(cut),
        note: may(places.note).map(cut),
        at: time("the moment", places.at)?,
        hold_ends_at: time("the end of the hold", places.hold_ends_at)?,
    })))
}

/// None: to be passed over.
fn kind(word: &str, columns: &PaymentColumns) -> Result<Option<MovementKind>, Wrong> {
    if let Some(kind) = columns.kinds.get(word) {
        return Ok(Some(*kind));
    }
    if columns.pass_over.iter().any(|w| w == word) {
        return Ok(None);
    }
    let own: Result<MovementKind, NotOwn> = MovementKind::deserialize(word.into_deserializer());
    own.map(Some).map_err(|_| Wrong::Value {
        of: "what happened",
        value: cut(word),
        advice: "say which movement that is, or that it is to be passed over".to_owned(),
    })
}

fn moment(of: &'static str, text: &str, columns: &PaymentColumns) -> Result<DateTime<Utc>, Wrong> {
    match &columns.time_format {
        None => DateTime::parse_from_rfc3339(text).map(|at| at.to_utc()).map_err(|_| Wrong::Value {
            of,
            value: cut(text),
            advice: "write it as 2026-04-05T12:30:00Z, or say in `time_format` how it is written".to_owned(),
        }),
        Some(format) => NaiveDateTime::parse_from_str(text, format).map(|at| at.and_utc()).map_err(|_| Wrong::Value {
            of,
            value: cut(text),
            advice: format!("it must be a date and time written as {format}"),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns() -> PaymentColumns {
        serde_json::from_value(serde_json::json!({
            "currency": "EUR", "separator": ";", "decimal": ",", "event": "No", "hire": "Order", "kind": "Type",
            "kinds": {"reserved": "hold_placed", "taken": "captured"}, "pass_over": ["fee"], "amount": "Sum",
            "reference": "Hold", "at": "When", "hold_ends_at": "Until", "time_format": "%d.%m.%Y %H:%M",
            "currency_column": "Cur"
        }))
        .unwrap()
    }

    fn all(text: &str) -> Result<Vec<(u64, Told)>, BankError> {
        let mut found = Vec::new();
        read(text.as_bytes(), &columns(), |line, told| {
            found.push((line, told));
            Ok(())
        })?;
        Ok(found)
    }

    const HEAD: &str = "No;Order;Type;Sum;Cur;Hold;When;Until\n";

    #[test]
    fn the_providers_words_become_movements_and_what_is_none_is_passed_over() {
        let found = all(&format!(
            "{HEAD}e1;F-1;reserved;1.500,00;EUR;H-1;28.03.2026 10:00;27.04.2026 10:00\n\ne2;F-1;fee;1,20;EUR;H-1;;\n\
             e3;F-1;hold_extended;;EUR;H-1;;11.05.2026 10:00\ne4;F-1;taken;72,50;GBP;H-1;;\n"
        ))
        .unwrap();
        let lines: Vec<u64> = found.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [2, 4, 5, 6]);
        let Some((_, Told::Event(first))) = found.first() else { panic!("{found:?}") };
        assert_eq!((first.kind, first.amount), (MovementKind::HoldPlaced, Money::new(150_000, Currency::Eur)));
        assert_eq!(first.at.map(|t| t.to_rfc3339()), Some("2026-03-28T10:00:00+00:00".to_owned()));
        assert_eq!(first.hold_ends_at.map(|t| t.to_rfc3339()), Some("2026-04-27T10:00:00+00:00".to_owned()));
        assert_eq!(found.get(1).map(|(_, told)| told), Some(&Told::Passed));
        let Some((_, Told::Event(longer))) = found.get(2) else { panic!("{found:?}") };
        assert_eq!((longer.kind, longer.amount.minor), (MovementKind::HoldExtended, 0));
        let Some((_, Told::Event(taken))) = found.get(3) else { panic!("{found:?}") };
        assert_eq!((taken.kind, taken.amount), (MovementKind::Captured, Money::new(7250, Currency::Gbp)));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        for (line, code, at) in [
            ("e1;F-1;stolen;1,00;EUR;;;", "value_invalid", 2),
            ("e1;F-1;taken;-1,00;EUR;;;", "value_invalid", 2),
            ("e1;F-1;taken;;EUR;;;", "value_invalid", 2),
            ("e1;F-1;taken;1,00;XXQ;;;", "value_invalid", 2),
            ("e1;F-1;taken;1,00;EUR;;yesterday;", "value_invalid", 2),
            ("e1;;taken;1,00;EUR;;;", "value_missing", 2),
            (";F-1;taken;1,00;EUR;;;", "value_missing", 2),
        ] {
            let error = all(&format!("{HEAD}{line}\n")).unwrap_err();
            assert_eq!((error.wrong.code(), error.at, error.entry), (code, at, 1), "{line}: {error}");
        }
        // Line ends of two bytes, empty lines, a byte order mark and a value of two lines are counted as an editor would.
        let file =
            format!("\u{feff}{HEAD}\n\ne1;F-1;taken;1,00;EUR;\"H\n1\";;\n\ne2;F-1;fee\ne3;F-1;stolen;1,00;EUR;;;\n");
        for file in [file.clone(), file.replace('\n', "\r\n")] {
            let error = all(&file).unwrap_err();
            assert_eq!((error.at, error.entry), (8, 3), "{error}");
        }
        assert_eq!(all("No;Order;Type\n").unwrap_err().wrong.code(), "column_missing");
    }
}
