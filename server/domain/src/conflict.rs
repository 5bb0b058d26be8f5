//! Two answers to one question, given on two devices that did not know of each other.

use crate::ids::EntryId;
use crate::inspection::{Entry, Inspection};
use crate::template::Key;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// Answers to one question of which none replaces another: a person chooses by an answer that replaces them all.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Conflict {
    pub checkpoint: Key,
    /// In the order they came.
    pub entries: Vec<EntryId>,
}

/// Everything an answer replaces: what its author saw, and whatever that replaced. Names of answers to other questions,
/// or of none that is here, are left out.
#[must_use]
pub fn closure(known: &[Entry], checkpoint: &str, seen: &[EntryId]) -> Vec<EntryId> {
    let mut all = BTreeSet::new();
    for entry in known.iter().filter(|e| e.checkpoint == checkpoint && seen.contains(&e.id)) {
        all.insert(entry.id);
        all.extend(entry.replaces.iter().copied());
    }
    all.into_iter().collect()
}

/// The answers that no other replaces, by question.
fn standing(entries: &[Entry]) -> BTreeMap<&str, Vec<&Entry>> {
    let replaced: BTreeSet<EntryId> = entries.iter().flat_map(|e| e.replaces.iter().copied()).collect();
    let mut standing: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for entry in entries.iter().filter(|e| !replaced.contains(&e.id)) {
        standing.entry(&entry.checkpoint).or_default().push(entry);
    }
    standing
}

/// Questions with two answers or more that stand side by side, by key.
#[must_use]
pub fn conflicts(entries: &[Entry]) -> Vec<Conflict> {
    let several = standing(entries).into_iter().filter(|(_, entries)| entries.len() > 1);
    several
        .map(|(checkpoint, entries)| Conflict {
            checkpoint: checkpoint.to_owned(),
            entries: entries.into_iter().map(|e| e.id).collect(),
        })
        .collect()
}

impl Inspection {
    /// With only the answers that count, without what they replaced.
    #[must_use]
    pub fn settled(mut self) -> Self {
        let counts: BTreeSet<EntryId> =
            standing(&self.entries).into_values().filter_map(|entries| entries.last().map(|e| e.id)).collect();
        self.entries.retain(|e| counts.contains(&e.id));
        for entry in &mut self.entries {
            entry.replaces.clear();
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspection::{Answer, Condition};
    use uuid::Uuid;

    fn id(n: u128) -> EntryId {
        EntryId(Uuid::from_u128(n))
    }

    fn answer(known: &[Entry], n: u128, seen: &[u128]) -> Entry {
        let seen: Vec<EntryId> = seen.iter().map(|n| id(*n)).collect();
        Entry {
            id: id(n),
            checkpoint: "lid".to_owned(),
            answer: Answer::Condition { state: Condition::InOrder },
            photos: Vec::new(),
            note: None,
            recorded_at: "2026-03-28T10:00:00Z".parse().unwrap(),
            recorded_by: None,
            replaces: closure(known, "lid", &seen),
        }
    }

    #[test]
    fn answers_that_did_not_know_of_each_other_stand_side_by_side_until_one_replaces_both() {
        let mut entries = vec![answer(&[], 1, &[])];
        entries.push(answer(&entries, 2, &[1]));
        assert_eq!(conflicts(&entries), []);
        // Another device had seen the first only.
        entries.push(answer(&entries, 3, &[1]));
        let both = Conflict { checkpoint: "lid".to_owned(), entries: vec![id(2), id(3)] };
        assert_eq!(conflicts(&entries), std::slice::from_ref(&both));
        entries.push(answer(&entries, 4, &[2]));
        assert_eq!(conflicts(&entries), [Conflict { entries: vec![id(3), id(4)], ..both }]);
        entries.push(answer(&entries, 5, &[3, 4]));
        assert_eq!(conflicts(&entries), []);
        assert_eq!(entries[4].replaces, [id(1), id(2), id(3), id(4)]);
        // Taking one back that was replaced brings no older one back.
        entries.remove(3);
        assert_eq!(conflicts(&entries), []);
    }
}
