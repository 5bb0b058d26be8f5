//! What makes an entry the same in whatever file it comes.

use crate::entry::Entry;
use sha2::{Digest, Sha256};
use std::collections::HashMap;

/// Gives entries their keys. Two that are alike in one file are two, the first and the second; the same file again
/// gives the same keys again.
#[derive(Debug, Default)]
pub(crate) struct Identity {
    seen: HashMap<[u8; 32], u32>,
}

impl Identity {
    pub(crate) fn give(&mut self, mut entry: Entry) -> Entry {
        let mut digest = Sha256::new();
        let mut part = |text: &str| {
            // Each with its length, so that no two lists of parts make the same text.
            digest.update(text.len().to_be_bytes());
            digest.update(text);
        };
        part(&entry.account);
        part(&entry.amount.minor.to_string());
        part(entry.amount.currency.code());
        part(&entry.booked_on.to_string());
        match &entry.bank_reference {
            // A bank never gives one twice.
            Some(reference) => part(reference),
            None => {
                part(&entry.value_on.map(|d| d.to_string()).unwrap_or_default());
                entry.references.iter().for_each(|r| part(r));
                part(entry.party.as_deref().unwrap_or_default());
                part(&entry.text);
            }
        }
        let alike: [u8; 32] = digest.finalize().into();
        let count = self.seen.entry(alike).or_default();
        *count += 1;
        let mut key = Sha256::new();
        key.update(alike);
        key.update(count.to_be_bytes());
        entry.key = hex::encode(key.finalize());
        entry
    }
}
