//! Problem codes: each is told by somebody, each by its own name.

use crate::source::files;
use handsel::app::Code;
use handsel::http::problem::row;
use std::collections::BTreeSet;

#[test]
fn every_code_is_told_by_somebody() {
    let source: String = files("server/src")
        .into_iter()
        .filter(|(file, _)| file != "http/problem.rs")
        .map(|(_, text)| text.split("#[cfg(test)]").next().unwrap_or_default().to_owned())
        .collect::<Vec<_>>()
        .join("\n")
        + &files("server/src")
            .into_iter()
            .filter(|(file, _)| file == "http/problem.rs")
            // Beside the table, which names each.
            .flat_map(|(_, text)| text.lines().filter(|l| !l.contains("=> (")).map(str::to_owned).collect::<Vec<_>>())
            .collect::<Vec<_>>()
            .join("\n");
    let unused: Vec<&Code> = Code::ALL
        .iter()
        .filter(|code| {
            let name = format!("Code::{code:?}");
            let told = source.match_indices(&name).any(|(at, _)| {
                let after = source.get(at + name.len()..).and_then(|rest| rest.chars().next());
                !after.is_some_and(char::is_alphanumeric)
            });
            !told
        })
        .collect();
    assert!(unused.is_empty(), "never told: {unused:?}");
}

#[test]
fn every_code_has_a_name_and_a_title_of_its_own() {
    let (mut names, mut titles) = (BTreeSet::new(), BTreeSet::new());
    for code in Code::ALL {
        let (status, name, title) = row(*code);
        assert!((400..600).contains(&status), "{name}: {status}");
        assert!(name.chars().all(|c| c.is_ascii_lowercase() || c == '_'), "{name}");
        assert_eq!(name.replace('_', ""), format!("{code:?}").to_lowercase(), "a code is written as it is named");
        assert!(names.insert(name), "{name} twice");
        assert!(titles.insert(title), "{title} twice");
    }
}
