//! What people wrote, on its way onto paper: as data, never as markup, and so that every character can be read.

use super::family_of;
use serde_json::Value as Json;
use typst::foundations::{Array, Dict, Value};

/// Names and descriptions that are not laid out in lines.
const UNBROKEN: [&str; 8] = ["alt", "author", "description", "document_title", "key", "kind", "lang", "region"];

/// A run without a space this long may break every so many characters.
const LONG: usize = 28;
const PIECE: usize = 20;
/// Where it may: the look makes nothing visible of it, and no character.
const MAY_BREAK: char = '\u{200b}';

/// A document's content, as the typesetting takes it.
pub(super) fn value(json: &Json) -> Value {
    worded(json, true)
}

fn worded(json: &Json, breaks: bool) -> Value {
    match json {
        Json::Null => Value::None,
        Json::Bool(yes) => Value::Bool(*yes),
        Json::Number(number) => {
            number.as_i64().map_or_else(|| Value::Float(number.as_f64().unwrap_or_default()), Value::Int)
        }
        Json::String(words) => {
            let words = readable(words);
            Value::Str(if breaks { breakable(&words) } else { words }.into())
        }
        Json::Array(items) => Value::Array(items.iter().map(|item| worded(item, breaks)).collect::<Array>()),
        Json::Object(members) => {
            let members = members.iter();
            Value::Dict(
                members
                    .map(|(name, member)| (name.as_str().into(), worded(member, !UNBROKEN.contains(&name.as_str()))))
                    .collect::<Dict>(),
            )
        }
    }
}

/// Characters that no font has, and those that steer the order of what follows them, are shown by their numbers: a
/// document that is kept for good must not hold an empty box, nor a name that turns the next one round.
fn readable(words: &str) -> String {
    let mut shown = String::with_capacity(words.len());
    // What the last character that stands by itself is set in: what is put on it must be in the same.
    let mut family = None;
    for c in words.chars() {
        match c {
            '\n' | '\t' | '\u{2028}' | '\u{2029}' => {
                shown.push(' ');
                family = family_of(' ', None);
            }
            // Nothing is seen of these anywhere.
            '\r' | '\u{ad}' | '\u{200b}' | '\u{200d}' | '\u{2060}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' => {}
            c if steers(c) || c.is_control() || private(c) => family = by_number(&mut shown, c),
            c if put_on(c) => match family.and_then(|family| family_of(c, Some(family))) {
                Some(_) => shown.push(c),
                None => family = by_number(&mut shown, c),
            },
            c => match family_of(c, None) {
                Some(its) => {
                    family = Some(its);
                    shown.push(c);
                }
                None => family = by_number(&mut shown, c),
            },
        }
    }
    shown
}

/// Shows a character by its number; gives what the sign behind it is set in.
fn by_number(shown: &mut String, c: char) -> Option<usize> {
    shown.push_str(&format!("‹U+{:04X}›", u32::from(c)));
    family_of('›', None)
}

/// Accents, points, vowel signs and joiners, which make one shape with the character before them.
const fn put_on(c: char) -> bool {
    matches!(c,
        '\u{300}'..='\u{36f}' | '\u{483}'..='\u{489}' | '\u{591}'..='\u{5c7}' | '\u{610}'..='\u{61a}'
        | '\u{64b}'..='\u{65f}' | '\u{670}' | '\u{6d6}'..='\u{6ed}' | '\u{8d3}'..='\u{903}' | '\u{e31}'..='\u{e4e}'
        | '\u{1ab0}'..='\u{1aff}' | '\u{1dc0}'..='\u{1dff}' | '\u{200c}' | '\u{20d0}'..='\u{20ff}'
        | '\u{fe20}'..='\u{fe2f}')
}

/// Marks, embeddings, overrides and isolates of direction.
const fn steers(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

const fn private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..)
}

/// With places to break where there is no space for long.
fn breakable(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for (at, run) in words.split(' ').enumerate() {
        if at > 0 {
            out.push(' ');
        }
        if run.chars().count() <= LONG {
            out.push_str(run);
            continue;
        }
        let mut since = 0;
        for c in run.chars() {
            // Never between a letter and what is put on it.
            if since >= PIECE && (c.is_alphanumeric() || c.is_ascii()) {
                out.push(MAY_BREAK);
                since = 0;
            }
            out.push(c);
            since += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_font_has_is_shown_by_its_number() {
        assert_eq!(readable("Zoë 🚐"), "Zoë ‹U+1F690›");
        assert_eq!(readable("a\u{202e}b\u{0}c\u{e001}"), "a‹U+202E›b‹U+0000›c‹U+E001›");
        assert_eq!(readable("two\nlines\u{feff}"), "two lines");
        assert_eq!(readable("שלום العربية Ωж #panic() *a* $x$ ]"), "שלום العربية Ωж #panic() *a* $x$ ]");
    }

    #[test]
    fn what_is_put_on_a_letter_is_set_with_it_or_shown_by_its_number() {
        assert_eq!(readable("e\u{301}"), "e\u{301}");
        assert_eq!(readable("e\u{350}"), "e‹U+0350›");
        assert_eq!(readable("\u{301}e"), "‹U+0301›e");
        assert_eq!(readable("🚐\u{fe0f}\u{200d}🔥"), "‹U+1F690›‹U+1F525›");
    }

    #[test]
    fn only_long_runs_may_break() {
        assert_eq!(breakable("short and plain"), "short and plain");
        let long = "x".repeat(50);
        let broken = breakable(&long);
        assert_eq!(broken.matches(MAY_BREAK).count(), 2);
        assert_eq!(broken.replace(MAY_BREAK, ""), long);
    }
}
