//! A charge that the hirer disputes. While it is open the line is held, so that nothing can be captured for it.

use crate::case::{Decision, Verdict};
use crate::ids::{DecisionId, DisputeId};
use crate::time::Instant;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What became of a dispute.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DisputeOutcome {
    /// The hirer was right: nothing is charged for the line.
    Upheld,
    /// Less is charged than before.
    PartlyUpheld,
    /// The charge stands.
    Rejected,
    /// The hirer takes it back.
    Withdrawn,
}

/// What is needed of a dispute to hold its line.
#[derive(Clone, Copy, Debug)]
pub struct Raised<'a> {
    pub id: DisputeId,
    pub line: &'a str,
    pub words: &'a str,
    pub at: Instant,
}

impl Raised<'_> {
    /// The dispute as a decision by nobody of the staff: it puts the line on hold, with the hirer's words as reason.
    #[must_use]
    pub fn holds(&self) -> Decision {
        Decision {
            id: DecisionId(self.id.0),
            line: self.line.to_owned(),
            verdict: Verdict::Hold,
            amount: None,
            reason: Some(self.words.to_owned()),
            by: None,
            at: self.at,
        }
    }
}

impl DisputeOutcome {
    /// What a staff decision on the disputed line comes to; none while it stays on hold.
    #[must_use]
    pub const fn of(verdict: Verdict, lowered: bool) -> Option<Self> {
        match verdict {
            Verdict::Waive => Some(Self::Upheld),
            Verdict::Adjust if lowered => Some(Self::PartlyUpheld),
            Verdict::Adjust | Verdict::Accept => Some(Self::Rejected),
            Verdict::Hold => None,
        }
    }
}

/// Decisions of staff and holds by disputes in one list, oldest first. Of two at the same moment the dispute comes
/// last: a charge is never accepted over a dispute that was there already.
#[must_use]
pub fn merged<'a>(decisions: Vec<Decision>, disputes: impl IntoIterator<Item = Raised<'a>>) -> Vec<Decision> {
    let mut all = decisions;
    all.extend(disputes.into_iter().map(|d| d.holds()));
    all.sort_by_key(|d| (d.at, d.by.is_none()));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::StaffId;
    use uuid::Uuid;

    fn at(minute: u32) -> Instant {
        format!("2026-04-05T10:{minute:02}:00Z").parse().unwrap()
    }

    fn decision(minute: u32) -> Decision {
        Decision {
            id: DecisionId(Uuid::from_u128(u128::from(minute))),
            line: "fuel".to_owned(),
            verdict: Verdict::Accept,
            amount: None,
            reason: None,
            by: Some(StaffId(Uuid::from_u128(1))),
            at: at(minute),
        }
    }

    fn raised(minute: u32) -> Raised<'static> {
        Raised { id: DisputeId(Uuid::from_u128(100)), line: "fuel", words: "It was full.", at: at(minute) }
    }

    #[test]
    fn the_last_word_for_a_line_is_the_latest_and_a_dispute_at_the_same_moment() {
        let last = |decisions: Vec<Decision>, minute| merged(decisions, [raised(minute)]).pop().unwrap().verdict;
        assert_eq!(last(vec![decision(1), decision(9)], 5), Verdict::Accept, "decided again after the dispute");
        assert_eq!(last(vec![decision(1)], 5), Verdict::Hold);
        assert_eq!(last(vec![decision(5)], 5), Verdict::Hold);
    }

    #[test]
    fn a_decision_answers_a_dispute_unless_it_holds_on() {
        assert_eq!(DisputeOutcome::of(Verdict::Waive, true), Some(DisputeOutcome::Upheld));
        assert_eq!(DisputeOutcome::of(Verdict::Adjust, true), Some(DisputeOutcome::PartlyUpheld));
        assert_eq!(DisputeOutcome::of(Verdict::Adjust, false), Some(DisputeOutcome::Rejected));
        assert_eq!(DisputeOutcome::of(Verdict::Accept, false), Some(DisputeOutcome::Rejected));
        assert_eq!(DisputeOutcome::of(Verdict::Hold, false), None);
    }
}
