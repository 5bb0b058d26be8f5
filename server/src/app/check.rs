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

    /// Words that must not hold a card's number: those never belong in here.
    pub(super) fn no_card(&mut self, pointer: &str, words: Option<&str>) {
        let advice = "looks like a card's number: card data is never kept here, use the payment provider's reference";
        self.require(!words.is_some_and(has_card_number), pointer, advice);
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

/// Whether a number stands in it by itself, perhaps in groups, that has a payment card's length and check digit
/// (ISO/IEC 7812-1: 13 to 19 digits here, the last one by the Luhn formula).
fn has_card_number(words: &str) -> bool {
    let part_of_number = |c: char| c.is_ascii_digit() || c == ' ' || c == '-';
    words.split(|c: char| !part_of_number(c) && !c.is_alphanumeric()).any(|run| {
        // Letters beside the digits: an account's or a provider's reference.
        if run.chars().any(char::is_alphabetic) {
            return false;
        }
        let digits: Vec<u32> = run.chars().filter_map(|c| c.to_digit(10)).collect();
        let sum: u32 = digits.iter().rev().zip([1, 2].iter().cycle()).map(|(d, f)| (d * f) / 10 + (d * f) % 10).sum();
        (13..=19).contains(&digits.len()) && sum.is_multiple_of(10)
    })
}

/// Turns places such as `stops[2].title` into JSON pointers such as `/stops/2/title`.
pub(super) fn pointer(place: &str) -> String {
    let plain = place.replace('[', ".").replace(']', "");
    plain.split('.').filter(|part| !part.is_empty()).map(|part| format!("/{part}")).collect()
}

#[cfg(test)]
mod tests {
    use super::{has_card_number, is_email, pointer};

    #[test]
    fn places_become_pointers() {
        assert_eq!(pointer("stops[2].checkpoints[0].needs[1]"), "/stops/2/checkpoints/0/needs/1");
        assert_eq!(pointer("layout"), "/layout");
    }

    #[test]
    fn a_cards_number_is_known_by_its_check_digit() {
        // Nobody's: digits made up, the last one reckoned by the formula; and its neighbours.
        for card in ["4539578763621486", "4539 5787 6362 1486", "paid by (4539-5787-6362-1486)"] {
            assert!(has_card_number(card), "{card}");
        }
        for not in ["", "4539578763621487", "GB00XXXX4539578763621486", "AUTH-88213", "0123 456", "453957876362148"] {
            assert!(!has_card_number(not), "{not}");
        }
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
