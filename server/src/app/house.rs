//! What this house promises its hirers, and how long it waits and keeps.

/// Days and addresses that differ from one operator to the next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct House {
    /// From the return until the hirer knows the outcome.
    pub promise_days: u32,
    /// From the settlement until which the hirer can dispute a line through their link.
    pub dispute_days: u32,
    /// How long a link is good for.
    pub link_days: u32,
    /// How long before a card hold lapses the office is warned.
    pub hold_warning_days: u32,
    /// From the settlement until personal data is erased.
    pub keep_months: u32,
    /// Where hirers reach this server from outside, without a slash at the end.
    pub public_url: String,
}

impl Default for House {
    fn default() -> Self {
        Self {
            promise_days: 7,
            dispute_days: 30,
            link_days: 90,
            hold_warning_days: 3,
            keep_months: 24,
            public_url: "http://localhost:8080".to_owned(),
        }
    }
}

/// Seconds of so many days.
pub(super) fn days(days: u32) -> i64 {
    i64::from(days) * 86_400
}
