//! Statements of `fixtures/bank`: the same entries in three versions of the standard and in two CSV files, and files
//! that are malformed or hostile.
#![expect(clippy::panic, reason = "a test fails by panicking")]

use handsel_bank::{BankError, Columns, Encoding, Entry, Summary, camt, read_csv};
use handsel_domain::money::Currency;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::PathBuf;

fn fixture(name: &str) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/bank").join(name);
    std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn statement(bytes: &[u8]) -> Result<(Summary, Vec<Entry>), BankError> {
    let mut entries = Vec::new();
    let summary = camt::read(Cursor::new(bytes), |entry| {
        entries.push(entry);
        Ok(())
    })?;
    Ok((summary, entries))
}

fn csv(bytes: &[u8], columns: &Columns) -> Result<Vec<Entry>, BankError> {
    let mut entries = Vec::new();
    let _ = read_csv(Cursor::new(bytes), columns, |entry| {
        entries.push(entry);
        Ok(())
    })?;
    Ok(entries)
}

fn english() -> Columns {
    Columns {
        account: "GB33XXXX00000000000001".to_owned(),
        currency: Currency::Gbp,
        encoding: Encoding::Utf8,
        separator: ',',
        decimal: '.',
        date_format: "%d/%m/%Y".to_owned(),
        skip_lines: 0,
        booked_on: "Date".to_owned(),
        value_on: None,
        amount: Some("Amount".to_owned()),
        money_in: None,
        money_out: None,
        bank_reference: Some("Bank reference".to_owned()),
        reference: Some("Reference".to_owned()),
        party: Some("Name".to_owned()),
        text: vec!["Details".to_owned()],
    }
}

fn german() -> Columns {
    Columns {
        encoding: Encoding::Windows1252,
        separator: ';',
        decimal: ',',
        date_format: "%d.%m.%Y".to_owned(),
        skip_lines: 2,
        booked_on: "Buchungstag".to_owned(),
        amount: None,
        money_in: Some("Haben".to_owned()),
        money_out: Some("Soll".to_owned()),
        bank_reference: Some("Bankreferenz".to_owned()),
        reference: Some("Kundenreferenz".to_owned()),
        party: Some("Beteiligter".to_owned()),
        text: vec!["Verwendungszweck".to_owned()],
        ..english()
    }
}

/// (amount, day, bank's reference, references, party, reversal)
type Plain = (i64, String, Option<String>, Vec<String>, Option<String>, bool);

fn plain(entries: &[Entry]) -> Vec<Plain> {
    let each = entries.iter().map(|e| {
        let day = e.booked_on.to_string();
        (e.amount.minor, day, e.bank_reference.clone(), e.references.clone(), e.party.clone(), e.reversal)
    });
    each.collect()
}

#[test]
fn three_versions_say_the_same() {
    let (_, newest) = statement(&fixture("statement-08.xml")).unwrap();
    for version in ["02", "04", "08"] {
        let (summary, entries) = statement(&fixture(&format!("statement-{version}.xml"))).unwrap();
        assert_eq!(summary.version, Some(format!("camt.053.001.{version}")));
        assert_eq!((summary.entries, summary.pending), (10, 1));
        assert_eq!(summary.accounts, ["GB33XXXX00000000000001"]);
        assert_eq!(entries, newest, "{version}: also the keys, so that each entry is read in once");
    }
    let amounts: Vec<i64> = newest.iter().map(|e| e.amount.minor).collect();
    // Written down from the generator's table; the collective entry comes as its three payments.
    assert_eq!(amounts, [50_000, 75_000, -42_500, 6600, 6600, 42_500, -1999, 30_000, 20_000, 10_000]);
    let reversals: Vec<bool> = newest.iter().map(|e| e.reversal).collect();
    assert_eq!(reversals.iter().filter(|r| **r).count(), 1);
    assert!(reversals[5]);
    assert_eq!(newest[0].references, ["F-1001"]);
    assert_eq!(newest[2].references, Vec::<String>::new(), "NOTPROVIDED is none");
    assert_eq!(newest[3].party.as_deref(), Some("Linden & Daughters"));
    assert_eq!(newest[3].text, "thanks <3");
    assert_eq!(newest[7].bank_reference.as_deref(), Some("B-0008/1"));
    assert_eq!(newest[7].booked_on.to_string(), "2026-04-10", "the day of a moment, as the bank's clock has it");
    let keys: BTreeMap<&str, usize> = newest.iter().enumerate().map(|(i, e)| (e.key.as_str(), i)).collect();
    assert_eq!(keys.len(), 10, "two alike are two");
}

#[test]
fn columns_say_the_same_as_the_standard() {
    let (_, newest) = statement(&fixture("statement-08.xml")).unwrap();
    let wanted: Vec<Plain> = plain(&newest).into_iter().map(|p| (p.0, p.1, p.2, p.3, p.4, false)).collect();
    assert_eq!(plain(&csv(&fixture("statement-en.csv"), &english()).unwrap()), wanted);
    let entries = csv(&fixture("statement-de.csv"), &german()).unwrap();
    assert_eq!(plain(&entries), wanted);
    assert_eq!(entries[6].text, "Rollen für den Drucker");
}

#[test]
fn alike_entries_without_a_banks_reference_are_told_apart_by_their_number() {
    let columns = Columns { bank_reference: None, ..english() };
    let entries = csv(&fixture("statement-en.csv"), &columns).unwrap();
    assert_ne!(entries[3].key, entries[4].key);
    let again = csv(&fixture("statement-en.csv"), &columns).unwrap();
    assert_eq!(entries, again);
}

#[test]
fn what_is_wrong_with_a_csv_is_told_by_its_line() {
    let good = String::from_utf8(fixture("statement-en.csv")).unwrap();
    for (from, to, line, reason) in [
        ("Amount", "Sum", 1, "column_missing"),
        ("27/03/2026", "27.03.2026", 2, "value_invalid"),
        ("\"750.00\"", "\"750.001\"", 3, "value_invalid"),
        ("\"-425.00\"", "\"\"", 4, "value_missing"),
        ("\"66.00\"", "\"66.00.00\"", 5, "value_invalid"),
    ] {
        assert!(good.contains(from), "{from}");
        let error = csv(good.replacen(from, to, 1).as_bytes(), &english()).unwrap_err();
        assert_eq!((error.wrong.code(), error.at), (reason, line), "{error}");
    }
    let error = csv(&fixture("statement-de.csv"), &Columns { encoding: Encoding::Utf8, ..german() }).unwrap_err();
    assert_eq!(error.wrong.code(), "encoding");
    let both = Columns { money_in: Some("Amount".to_owned()), ..english() };
    assert_eq!(csv(good.as_bytes(), &both).unwrap_err().wrong.code(), "value_missing");
    let long = format!("{good}01/04/2026,\"{}\",B,N,D,1.00\n", "x".repeat(400_000));
    assert_eq!(csv(long.as_bytes(), &english()).unwrap_err().wrong.code(), "unreadable");
}

#[test]
fn every_hostile_file_is_refused_for_its_own_reason() {
    let mut wrong = Vec::new();
    let reasons = String::from_utf8(fixture("hostile/reasons.csv")).unwrap();
    for line in reasons.lines().skip(1) {
        let (file, reason) = line.split_once(',').unwrap();
        let told = match statement(&fixture(&format!("hostile/{file}"))) {
            Ok((summary, _)) => format!("read, {} entries", summary.entries),
            Err(error) => error.wrong.code().to_owned(),
        };
        if told != reason {
            wrong.push(format!("{file}: {told}, not {reason}"));
        }
    }
    assert!(reasons.lines().count() > 25);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Beginnings of a good file are refused, and nothing panics on bytes changed anywhere.
#[test]
fn broken_files_are_refused_or_read_and_never_panic() {
    let good = fixture("statement-08.xml");
    let whole = good.len() - good.iter().rev().take_while(|b| **b != b'>').count();
    for end in (0..whole).step_by(17) {
        assert!(statement(&good[..end]).is_err(), "the first {end} bytes");
    }
    let mut state = 7_u64;
    for _ in 0..2_000 {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mut changed = good.clone();
        let at = usize::try_from(state >> 33).unwrap() % changed.len();
        changed[at] ^= 1 << (state % 8);
        let _ = statement(&changed);
    }
}
