//! JSON that is the same text wherever it is made (RFC 8785): what is hashed and signed.

use serde_json::{Number, Value};
use std::fmt::Write;

/// The canonical text of a document: members in the order of their names' UTF-16 units, no spaces, numbers as
/// ECMAScript writes them.
#[must_use]
pub fn canonical(value: &Value) -> String {
    let mut text = String::new();
    write(&mut text, value);
    text
}

fn write(text: &mut String, value: &Value) {
    match value {
        Value::Null => text.push_str("null"),
        Value::Bool(true) => text.push_str("true"),
        Value::Bool(false) => text.push_str("false"),
        Value::Number(n) => text.push_str(&number(n)),
        Value::String(s) => string(text, s),
        Value::Array(items) => {
            text.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    text.push(',');
                }
                write(text, item);
            }
            text.push(']');
        }
        Value::Object(members) => {
            let mut members: Vec<(&String, &Value)> = members.iter().collect();
            members.sort_by(|a, b| a.0.encode_utf16().cmp(b.0.encode_utf16()));
            text.push('{');
            for (index, (name, member)) in members.into_iter().enumerate() {
                if index > 0 {
                    text.push(',');
                }
                string(text, name);
                text.push(':');
                write(text, member);
            }
            text.push('}');
        }
    }
}

fn string(text: &mut String, value: &str) {
    text.push('"');
    for c in value.chars() {
        match c {
            '"' => text.push_str("\\\""),
            '\\' => text.push_str("\\\\"),
            '\u{8}' => text.push_str("\\b"),
            '\t' => text.push_str("\\t"),
            '\n' => text.push_str("\\n"),
            '\u{c}' => text.push_str("\\f"),
            '\r' => text.push_str("\\r"),
            c if c < ' ' => {
                // Writing to a String does not fail.
                let _ = write!(text, "\\u{:04x}", u32::from(c));
            }
            c => text.push(c),
        }
    }
    text.push('"');
}

/// A number as a double; one beyond a double's reach was already refused when the document was read.
fn number(n: &Number) -> String {
    n.as_f64().map_or_else(|| n.to_string(), double)
}

/// More digits than any double has.
const MOST_DIGITS: usize = 800;

/// As ECMAScript writes a double: the shortest digits that read back as the same, an exponent only when very small or
/// very large.
#[must_use]
pub fn double(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let shortest = format!("{:e}", value.abs());
    let (mantissa, exponent) = shortest.split_once('e').unwrap_or((&shortest, "0"));
    let digits = nearest_even(value.abs(), mantissa.chars().filter(char::is_ascii_digit).collect());
    let sign = if value < 0.0 { "-" } else { "" };
    // Digits before the point, were it written out.
    let point = exponent.parse::<i32>().unwrap_or(0) + 1;
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let zeros = |n: i32| "0".repeat(usize::try_from(n).unwrap_or(0));
    if (1..=21).contains(&point) {
        if count <= point {
            return format!("{sign}{digits}{}", zeros(point - count));
        }
        let (whole, rest) = digits.split_at(usize::try_from(point).unwrap_or(0));
        return format!("{sign}{whole}.{rest}");
    }
    if (-5..=0).contains(&point) {
        return format!("{sign}0.{}{digits}", zeros(-point));
    }
    let (first, rest) = digits.split_at(1);
    let dot = if rest.is_empty() { "" } else { "." };
    let plus = if point > 0 { "+" } else { "" };
    format!("{sign}{first}{dot}{rest}e{plus}{}", point - 1)
}

/// Of two shortest texts equally near, ECMAScript writes the one whose last digit is even.
fn nearest_even(value: f64, digits: String) -> String {
    let even = |text: &str| text.bytes().last().is_some_and(|d| d % 2 == 0);
    let exactly = |places: usize| -> String {
        let written = format!("{value:.places$e}");
        written.split('e').next().unwrap_or_default().chars().filter(char::is_ascii_digit).collect()
    };
    // One digit more tells whether the other could be as near; every digit there is tells whether it is.
    if even(&digits) || !exactly(digits.len()).ends_with('5') {
        return digits;
    }
    let all = exactly(MOST_DIGITS);
    let (below, rest) = all.split_at(digits.len().min(all.len()));
    let halfway = rest.strip_prefix('5').is_some_and(|rest| rest.bytes().all(|d| d == b'0'));
    // The upper one of two never needs a carry: it would be shorter then, and have been written at once.
    if halfway && even(below) { below.to_owned() } else { digits }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn members_are_sorted_at_every_depth_and_nothing_is_spaced() {
        let document = json!({"b": [1, {"z": null, "a": true}], "a": "line\nend\u{1f}\u{7f}ö"});
        assert_eq!(canonical(&document), "{\"a\":\"line\\nend\\u001f\u{7f}ö\",\"b\":[1,{\"a\":true,\"z\":null}]}");
    }

    #[test]
    fn numbers_are_written_as_ecmascript_writes_them() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-1.5, "-1.5"),
            (0.1 + 0.2, "0.30000000000000004"),
            (0.000_001, "0.000001"),
            (1e-7, "1e-7"),
            (1.5e-9, "1.5e-9"),
            (1e20, "100000000000000000000"),
            (1e21, "1e+21"),
            (1.25e22, "1.25e+22"),
            (123_456.75, "123456.75"),
            // Halfway between two texts of seventeen digits.
            (5_699_815_695_124_825.0 / 4.0, "1424953923781206.2"),
            (-5_699_815_695_124_825.0 / 4.0, "-1424953923781206.2"),
        ] {
            assert_eq!(double(value), text);
        }
    }
}
