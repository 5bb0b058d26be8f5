//! Every worked case in fixtures/cases: expected figures were written by hand from RULES.md, with prose beside them.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use handsel_domain::case_check;
use handsel_domain::charges::Comparison;
use handsel_domain::comparison::compare;
use handsel_domain::tariff::Tax;
use handsel_domain::text::Lang;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/cases")
}

fn cases() -> Vec<(String, Vec<u8>, Value)> {
    let mut found: Vec<_> = fs::read_dir(folder())
        .unwrap()
        .map(|f| f.unwrap().path())
        .filter_map(|p| p.file_name()?.to_str()?.strip_suffix(".case.json").map(ToOwned::to_owned))
        .collect();
    found.sort();
    found
        .into_iter()
        .map(|stem| {
            let case = fs::read(folder().join(format!("{stem}.case.json"))).unwrap();
            let expected = fs::read(folder().join(format!("{stem}.expected.json"))).unwrap();
            (stem, case, serde_json::from_slice(&expected).unwrap())
        })
        .collect()
}

fn lines_of(comparison: &Comparison) -> Value {
    comparison
        .lines
        .iter()
        .map(|l| {
            json!({
                "key": l.key,
                "state": l.state,
                "price": l.price.map(|p| p.minor),
                "if_charged": l.if_charged.minor,
                "amount": l.amount.minor,
            })
        })
        .collect()
}

#[test]
fn every_worked_case_comes_to_its_expected_figures() {
    let all = cases();
    assert!(all.len() >= 25, "only {} worked cases", all.len());
    let mut wrong = Vec::new();
    for (stem, case, expected) in all {
        let case = case_check::parse(&case).unwrap_or_else(|e| panic!("{stem}: {e}"));
        let got = compare(&case, Lang::En).unwrap_or_else(|e| panic!("{stem}: {e:?}"));
        let mut check = |what: &str, is: Value, wanted: &Value| {
            if !wanted.is_null() && is != *wanted {
                wrong.push(format!("{stem}: {what} is {is}, expected {wanted}"));
            }
        };
        check("lines", lines_of(&got), &expected["lines"]);
        check("hire_days", json!(got.hire_days), &expected["hire_days"]);
        check("charged", json!(got.totals.charged.minor), &expected["charged"]);
        check("undecided", json!(got.totals.undecided.minor), &expected["undecided"]);
        let missed: Value = got.missed_topics.iter().map(|m| json!(m.topic)).collect();
        check("missed", missed, &expected["missed"]);
        let tax: Value = got
            .tax
            .iter()
            .map(|t| {
                let name = match t.tax {
                    Tax::Standard { .. } => "standard",
                    Tax::Zero => "zero",
                    Tax::Exempt => "exempt",
                    Tax::OutsideScope => "outside_scope",
                };
                json!([name, t.total.minor, t.tax_inside.minor])
            })
            .collect();
        check("tax", tax, &expected["tax"]);
        for (key, outcome) in expected["outcomes"].as_object().unwrap() {
            let found = got.findings.iter().find(|f| f.key == *key);
            check(key, json!(found.map(|f| f.outcome)), outcome);
        }
        for (key, weak) in expected["weak"].as_object().into_iter().flatten() {
            let line = got.lines.iter().find(|l| l.key == *key).unwrap();
            check("weak points", json!(line.weak_points), weak);
        }
        for (key, count) in expected["weak_count"].as_object().into_iter().flatten() {
            let line = got.lines.iter().find(|l| l.key == *key).unwrap();
            check("weak points", json!(line.weak_points.len()), count);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_line_of_every_case_explains_itself_in_both_languages_and_adds_up() {
    for (stem, case, _) in cases() {
        let case = case_check::parse(&case).unwrap();
        for lang in Lang::ALL {
            for line in compare(&case, lang).unwrap().lines {
                assert!(!line.because.is_empty(), "{stem}: {} says nothing in {lang:?}", line.key);
                assert!(!line.evidence.is_empty(), "{stem}: {} lists no evidence", line.key);
                let sum: i64 = line.parts.iter().map(|p| p.amount.minor).sum();
                let waived = line.state == handsel_domain::charges::LineState::Waived;
                assert!(waived || sum == line.if_charged.minor, "{stem}: the parts of {} come to {sum}", line.key);
            }
        }
    }
}

#[test]
fn every_malformed_case_gives_one_located_message() {
    let expected: Value = serde_json::from_slice(&fs::read(folder().join("malformed.expected.json")).unwrap()).unwrap();
    for (name, wanted) in expected.as_object().unwrap() {
        let bytes = fs::read(folder().join(format!("malformed/{name}.json"))).unwrap();
        let problems = match case_check::parse(&bytes) {
            Err(problem) => vec![problem],
            Ok(case) => compare(&case, Lang::En).expect_err(name),
        };
        assert_eq!(problems.len(), 1, "{name}: {problems:?}");
        let (path, says) = (wanted["path"].as_str().unwrap(), wanted["says"].as_str().unwrap());
        assert!(problems[0].path.contains(path), "{name}: the place is {}", problems[0].path);
        assert!(problems[0].message.contains(says), "{name}: the message is {}", problems[0].message);
    }
}

#[test]
fn deep_nesting_is_refused_at_its_place() {
    let ten_megabytes = vec![b'['; 10 * 1024 * 1024];
    let problem = case_check::parse(&ten_megabytes).expect_err("nesting is no case");
    assert!(problem.message.contains("line 1 column"), "{problem}");
    let mut inside = br#"{"format":"handsel-case/1","depot":"#.to_vec();
    inside.extend(ten_megabytes);
    let problem = case_check::parse(&inside).expect_err("nesting is no case");
    assert!(problem.path.contains("depot"), "{problem}");
}
