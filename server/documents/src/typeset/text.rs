//! What people wrote, on its way onto paper: as data, never as markup, and so that every character can be read.

use super::covered;
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
    for c in words.chars() {
        match c {
            '\n' | '\t' | '\u{2028}' | '\u{2029}' => shown.push(' '),
            // Nothing is seen of these anywhere.
            '\r' | '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' => {}
            c if steers(c) || c.is_control() || private(c) || !covered(c) => {
                shown.push_str(&format!("‹U+{:04X}›", u32::from(c)));
            }
            c => shown.push(c),
        }
    }
    shown
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
    fn only_long_runs_may_break() {
        assert_eq!(breakable("short and plain"), "short and plain");
        let long = "x".repeat(50);
        let broken = breakable(&long);
        assert_eq!(broken.matches(MAY_BREAK).count(), 2);
        assert_eq!(broken.replace(MAY_BREAK, ""), long);
    }
}
