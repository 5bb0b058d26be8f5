//! Checks of values that types alone cannot make; every fault is told, not only the first.

use super::{Fault, Refusal};
use handsel_domain::ids::PhotoId;

/// Longest single line.
const LINE: usize = 200;
/// Longest note.
const NOTE: usize = 4000;

#[derive(Debug, Default)]
pub(super) struct Checks(Vec<Fault>);

impl Checks {
    pub(super) fn require(&mut self, holds: bool, pointer: &str, advice: impl Into<String>) {
        if !holds {
            self.0.push(Fault::new(pointer, advice));
        }
    }

    /// A line of words that must be there.
    pub(super) fn line(&mut self, pointer: &str, words: &str) {
        self.require(!words.trim().is_empty(), pointer, "must not be empty");
        self.short(pointer, words, LINE);
    }

    /// A line of words that may be empty.
    pub(super) fn may(&mut self, pointer: &str, words: &str) {
        self.short(pointer, words, LINE);
    }

    /// A reason or note that must be there.
    pub(super) fn words(&mut self, pointer: &str, words: &str) {
        self.require(!words.trim().is_empty(), pointer, "must not be empty: say it in words");
        self.short(pointer, words, NOTE);
    }

    /// A hash, where one is given.
    pub(super) fn sha256(&mut self, pointer: &str, hash: Option<&str>) {
        let right =
            hash.is_none_or(|h| h.len() == 64 && h.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)));
        self.require(right, pointer, "must be a SHA-256 in 64 lower-case hexadecimal digits");
    }

    pub(super) fn note(&mut self, pointer: &str, words: Option<&str>) {
        self.short(pointer, words.unwrap_or_default(), NOTE);
    }

    fn short(&mut self, pointer: &str, words: &str, most: usize) {
        self.require(words.chars().count() <= most, pointer, format!("must be at most {most} characters long"));
    }

    /// Each photograph is one of these, and named once.
    pub(super) fn photos(&mut self, asked: &[PhotoId], there: &[PhotoId]) {
        for (index, photo) in asked.iter().enumerate() {
            let pointer = format!("/photos/{index}");
            let first = asked.iter().position(|p| p == photo) == Some(index);
            self.require(first, &pointer, "names a photograph a second time");
            let found = there.contains(photo);
            self.require(found, &pointer, format!("this inspection has no photograph {photo}: upload it first"));
        }
    }

    pub(super) fn done(self) -> Result<(), Refusal> {
        if self.0.is_empty() { Ok(()) } else { Err(Refusal::values(self.0)) }
    }
}

/// Whether something looks like an address of electronic mail: one `@` with something on both sides, no spaces.
pub(super) fn is_email(text: &str) -> bool {
    match text.split_once('@') {
        Some((name, host)) => {
            !name.is_empty()
                && host.contains('.')
                && !host.contains('@')
                && !host.starts_with('.')
                && !host.ends_with('.')
                && !text.chars().any(|c| c.is_whitespace() || c.is_control())
        }
        None => false,
    }
}

/// Turns places such as `stops[2].title` into JSON pointers such as `/stops/2/title`.
pub(super) fn pointer(place: &str) -> String {
    let plain = place.replace('[', ".").replace(']', "");
    plain.split('.').filter(|part| !part.is_empty()).map(|part| format!("/{part}")).collect()
}

#[cfg(test)]
mod tests {
    use super::{is_email, pointer};

    #[test]
    fn places_become_pointers() {
        assert_eq!(pointer("stops[2].checkpoints[0].needs[1]"), "/stops/2/checkpoints/0/needs/1");
        assert_eq!(pointer("layout"), "/layout");
    }

    #[test]
    fn addresses_have_two_sides() {
        assert!(is_email("ada@desk.example"));
        for not in ["", "ada", "ada@", "@desk.example", "ada@desk", "a da@desk.example", "a@b@c.example", "a@.example"]
        {
            assert!(!is_email(not), "{not}");
        }
    }
}
