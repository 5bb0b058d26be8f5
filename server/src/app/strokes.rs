//! A drawn signature as text that is the same wherever it is made: canonical JSON (RFC 8785) of its strokes.

use super::check::Checks;
use handsel_domain::canonical::double;
use sha2::{Digest, Sha256};

/// Points a long name written slowly may have.
const MOST_POINTS: usize = 20_000;

pub(super) fn check(checks: &mut Checks, strokes: &[Vec<[f64; 2]>]) {
    let points: usize = strokes.iter().map(Vec::len).sum();
    checks.require(points >= 2, "/strokes", "must hold a signature: at least two points");
    checks.require(points <= MOST_POINTS, "/strokes", format!("must hold at most {MOST_POINTS} points"));
    for (index, stroke) in strokes.iter().enumerate() {
        let inside = stroke.iter().flatten().all(|v| (0.0..=1.0).contains(v));
        checks.require(inside, &format!("/strokes/{index}"), "every coordinate must lie between 0 and 1");
    }
}

pub(super) fn sha256(strokes: &[Vec<[f64; 2]>]) -> String {
    hex::encode(Sha256::digest(canonical(strokes)))
}

fn canonical(strokes: &[Vec<[f64; 2]>]) -> String {
    let stroke = |points: &Vec<[f64; 2]>| {
        let points: Vec<String> = points.iter().map(|[x, y]| format!("[{},{}]", double(*x), double(*y))).collect();
        format!("[{}]", points.join(","))
    };
    let strokes: Vec<String> = strokes.iter().map(stroke).collect();
    format!("[{}]", strokes.join(","))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_are_hashed_in_canonical_form() {
        let strokes = vec![vec![[0.0, 0.25], [1.0, 0.5]], vec![]];
        assert_eq!(canonical(&strokes), "[[[0,0.25],[1,0.5]],[]]");
        assert_eq!(sha256(&strokes), hex::encode(Sha256::digest("[[[0,0.25],[1,0.5]],[]]")));
    }
}
