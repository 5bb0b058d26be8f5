//! Spans of time in the parts that people say.

/// Whole hours and minutes of a span of seconds, begun minutes counting.
pub(super) fn hours_minutes(seconds: i64) -> (i64, i64) {
    let minutes = (seconds.abs() + 59) / 60;
    (minutes / 60, minutes % 60)
}
