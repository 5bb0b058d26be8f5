//! Numbers and amounts as a language writes them.

use crate::exact::Exact;
use crate::money::Money;

/// A decimal with the language's decimal mark.
pub(super) fn decimal(value: Exact, places: u32, mark: char) -> String {
    with_mark(&value.show(places), mark)
}

/// An amount with the language's decimal mark and its currency's own places.
pub(super) fn amount(value: Money, mark: char) -> String {
    with_mark(&value.to_string(), mark)
}

/// A rounded double, for uncertainties, which are not money.
pub(super) fn approx(value: f64, places: usize, mark: char) -> String {
    with_mark(&format!("{value:.places$}"), mark)
}

fn with_mark(text: &str, mark: char) -> String {
    if mark == '.' { text.to_owned() } else { text.replace('.', &mark.to_string()) }
}

/// Whole hours and minutes of a span of seconds, begun minutes counting.
pub(super) fn hours_minutes(seconds: i64) -> (i64, i64) {
    let minutes = (seconds.abs() + 59) / 60;
    (minutes / 60, minutes % 60)
}
