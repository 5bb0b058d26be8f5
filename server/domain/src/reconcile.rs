//! Matching what a bank says moved with what the ledgers say moved (rule 8): by reference, then by amount and date
//! within a window. What fits in more than one way is left to a person, and nothing is matched twice.

use crate::money::Money;
use crate::time::Date;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use utoipa::ToSchema;

/// Shortest reference that is looked for: shorter ones stand in any text by chance.
const SHORTEST: usize = 4;

/// An entry of a bank's statement.
#[derive(Clone, Debug)]
pub struct Entry<'a> {
    /// Positive: money came in.
    pub amount: Money,
    pub on: Date,
    /// References and words that came with it.
    pub words: Vec<&'a str>,
    /// It undoes an earlier entry: never matched by itself.
    pub reversal: bool,
}

/// A movement that should show at the bank.
#[derive(Clone, Debug)]
pub struct Expected<'a> {
    /// As the entry would say it: positive when money comes in.
    pub amount: Money,
    pub on: Date,
    /// Its own reference and its hire's.
    pub references: Vec<&'a str>,
}

/// By what an entry was matched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MatchedBy {
    Reference,
    AmountAndDate,
    /// By a person.
    Person,
}

/// What became of an entry. Numbers are places in the list of expected movements.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    Matched {
        expected: usize,
        by: MatchedBy,
    },
    /// Several fit, or one whose amount is another: best first.
    Ambiguous {
        candidates: Vec<usize>,
    },
    Unknown,
}

/// Matches entries with what is expected, `window` days either way; one outcome for each entry, in their order.
#[must_use]
pub fn reconcile(entries: &[Entry<'_>], expected: &[Expected<'_>], window: u32) -> Vec<Outcome> {
    let references = by_reference(expected);
    let mut named: Vec<Vec<usize>> = Vec::with_capacity(entries.len());
    // Of the named ones, those whose amount is right too.
    let mut right: Vec<Vec<usize>> = Vec::with_capacity(entries.len());
    for entry in entries {
        let found: BTreeSet<usize> =
            tokens(&entry.words).iter().filter_map(|t| references.get(t)).flatten().copied().collect();
        right.push(found.iter().copied().filter(|e| is(expected, *e, |x| x.amount == entry.amount)).collect());
        named.push(found.into_iter().collect());
    }
    let claims = counts(entries.iter().zip(&right).filter(|(e, _)| !e.reversal).map(|(_, r)| r));
    let mut taken = BTreeSet::new();
    let mut outcomes: Vec<Option<Outcome>> = Vec::with_capacity(entries.len());
    for ((entry, named), right) in entries.iter().zip(&named).zip(&right) {
        outcomes.push(match right.as_slice() {
            [one] if !entry.reversal && claims.get(one) == Some(&1) => {
                taken.insert(*one);
                Some(Outcome::Matched { expected: *one, by: MatchedBy::Reference })
            }
            _ if !named.is_empty() => {
                let others = named.iter().filter(|n| !right.contains(n));
                Some(Outcome::Ambiguous { candidates: right.iter().chain(others).copied().collect() })
            }
            _ => None,
        });
    }
    let by_amount = by_amount(expected, &taken);
    let near: Vec<Vec<usize>> = entries
        .iter()
        .zip(&outcomes)
        .map(|(entry, outcome)| if outcome.is_some() { Vec::new() } else { near(entry, expected, &by_amount, window) })
        .collect();
    let claims = counts(entries.iter().zip(&near).filter(|(e, _)| !e.reversal).map(|(_, n)| n));
    let rest = entries.iter().zip(near).map(|(entry, near)| match near.as_slice() {
        [] => Outcome::Unknown,
        [one] if !entry.reversal && claims.get(one) == Some(&1) => {
            Outcome::Matched { expected: *one, by: MatchedBy::AmountAndDate }
        }
        _ => Outcome::Ambiguous { candidates: near },
    });
    outcomes.into_iter().zip(rest).map(|(outcome, rest)| outcome.unwrap_or(rest)).collect()
}

fn is(expected: &[Expected<'_>], index: usize, holds: impl FnOnce(&Expected<'_>) -> bool) -> bool {
    expected.get(index).is_some_and(holds)
}

fn counts<'a>(lists: impl Iterator<Item = &'a Vec<usize>>) -> BTreeMap<usize, u32> {
    let mut counts = BTreeMap::new();
    for index in lists.flatten() {
        *counts.entry(*index).or_default() += 1;
    }
    counts
}

fn by_reference(expected: &[Expected<'_>]) -> HashMap<String, Vec<usize>> {
    let mut found: HashMap<String, Vec<usize>> = HashMap::new();
    for (index, one) in expected.iter().enumerate() {
        for reference in &one.references {
            let plain = plain(reference);
            if plain.chars().count() >= SHORTEST && plain.chars().any(|c| c.is_ascii_digit()) {
                found.entry(plain).or_default().push(index);
            }
        }
    }
    found
}

type Amounts = HashMap<(i64, &'static str), Vec<usize>>;

fn by_amount(expected: &[Expected<'_>], taken: &BTreeSet<usize>) -> Amounts {
    let mut found = Amounts::new();
    for (index, one) in expected.iter().enumerate().filter(|(index, _)| !taken.contains(index)) {
        found.entry((one.amount.minor, one.amount.currency.code())).or_default().push(index);
    }
    found
}

/// Those of the entry's amount within the window, the nearest day first.
fn near(entry: &Entry<'_>, expected: &[Expected<'_>], amounts: &Amounts, window: u32) -> Vec<usize> {
    let same = amounts.get(&(entry.amount.minor, entry.amount.currency.code())).map(Vec::as_slice).unwrap_or_default();
    let days = |index: usize| expected.get(index).map_or(u64::MAX, |x| (x.on.0 - entry.on.0).num_days().unsigned_abs());
    let mut near: Vec<usize> = same.iter().copied().filter(|e| days(*e) <= u64::from(window)).collect();
    near.sort_by_key(|e| (days(*e), *e));
    near
}

/// Only letters and digits, in capitals: banks and people drop hyphens and change case.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

/// Words as references may stand in them: each by itself, and joined with the next, as lines are broken anywhere.
fn tokens(words: &[&str]) -> BTreeSet<String> {
    let within = |c: char| c.is_alphanumeric() || "-/._".contains(c);
    let mut found = BTreeSet::new();
    for text in words {
        let parts: Vec<String> = text.split(|c| !within(c)).map(plain).filter(|p| !p.is_empty()).collect();
        for (index, part) in parts.iter().enumerate() {
            found.insert(part.clone());
            if let Some(next) = parts.get(index + 1) {
                found.insert(format!("{part}{next}"));
            }
        }
        found.insert(plain(text));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::Currency;

    fn day(day: u32) -> Date {
        Date(chrono::NaiveDate::from_ymd_opt(2026, 4, day).unwrap())
    }

    fn pounds(minor: i64) -> Money {
        Money::new(minor, Currency::Gbp)
    }

    fn entry<'a>(minor: i64, on: u32, words: &[&'a str]) -> Entry<'a> {
        Entry { amount: pounds(minor), on: day(on), words: words.to_vec(), reversal: false }
    }

    fn expected<'a>(minor: i64, on: u32, references: &[&'a str]) -> Expected<'a> {
        Expected { amount: pounds(minor), on: day(on), references: references.to_vec() }
    }

    fn by(expected: usize, by: MatchedBy) -> Outcome {
        Outcome::Matched { expected, by }
    }

    #[test]
    fn a_reference_counts_before_amount_and_date() {
        let hires = [expected(50_000, 3, &["F-1001"]), expected(50_000, 4, &["F-1002"])];
        let entries = [entry(50_000, 4, &["deposit for f 1001, thank you"]), entry(50_000, 20, &["F1002"])];
        assert_eq!(reconcile(&entries, &hires, 5), [by(0, MatchedBy::Reference), by(1, MatchedBy::Reference)]);
    }

    #[test]
    fn a_reference_is_a_word_of_its_own() {
        let hires = [expected(50_000, 3, &["F-100"]), expected(70_000, 3, &["no"])];
        let longer = reconcile(&[entry(50_000, 20, &["F-1001"]), entry(70_000, 20, &["no"])], &hires, 5);
        assert_eq!(longer, [Outcome::Unknown, Outcome::Unknown]);
    }

    #[test]
    fn another_amount_is_left_to_a_person() {
        let hires = [expected(50_000, 3, &["F-1001"]), expected(40_000, 3, &["F-1002"])];
        let entries = [entry(40_000, 3, &["F-1001"])];
        assert_eq!(reconcile(&entries, &hires, 5), [Outcome::Ambiguous { candidates: vec![0] }]);
    }

    #[test]
    fn amount_and_date_match_only_what_fits_nothing_else() {
        let hires =
            [expected(50_000, 3, &["F-1001"]), expected(50_000, 5, &["F-1002"]), expected(60_000, 9, &["F-1003"])];
        let entries = [entry(50_000, 4, &["Juniper"]), entry(60_000, 10, &[]), entry(60_000, 20, &[])];
        assert_eq!(
            reconcile(&entries, &hires, 5),
            [Outcome::Ambiguous { candidates: vec![0, 1] }, by(2, MatchedBy::AmountAndDate), Outcome::Unknown]
        );
        // Two entries for one movement: neither takes it.
        let twice = [entry(60_000, 10, &[]), entry(60_000, 11, &[])];
        let left = Outcome::Ambiguous { candidates: vec![2] };
        assert_eq!(reconcile(&twice, &hires, 5), [left.clone(), left]);
    }

    #[test]
    fn a_reversal_is_never_matched_by_itself() {
        let hires = [expected(50_000, 3, &["F-1001"])];
        let back = Entry { reversal: true, ..entry(50_000, 3, &["F-1001"]) };
        assert_eq!(reconcile(std::slice::from_ref(&back), &hires, 5), [Outcome::Ambiguous { candidates: vec![0] }]);
        let with_the_true_one = [back, entry(50_000, 3, &["F-1001"])];
        assert_eq!(reconcile(&with_the_true_one, &hires, 5)[1], by(0, MatchedBy::Reference));
    }
}
