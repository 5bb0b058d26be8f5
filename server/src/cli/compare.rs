//! `handsel compare CASE.json`: the comparison of one self-contained document, by the same function the server calls.

use handsel_domain::case_check::{self, CaseProblem};
use handsel_domain::charges::{Comparison, Line};
use handsel_domain::comparison;
use handsel_domain::text::Lang;
use std::path::Path;

/// How the result is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    Json,
    Text,
}

/// Why there is no result.
#[derive(Debug)]
pub enum CompareError {
    /// The file could not be read.
    Unreadable(std::path::PathBuf, std::io::Error),
    /// The document cannot be reckoned with: each place and what to do.
    Problems(Vec<CaseProblem>),
    /// The result could not be written as JSON.
    Unwritable(serde_json::Error),
}

impl std::fmt::Display for CompareError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unreadable(file, e) => write!(f, "{} cannot be read: {e}", file.display()),
            Self::Problems(problems) => {
                for (index, problem) in problems.iter().enumerate() {
                    if index > 0 {
                        f.write_str("\n")?;
                    }
                    write!(f, "{problem}")?;
                }
                Ok(())
            }
            Self::Unwritable(e) => write!(f, "the result cannot be written: {e}"),
        }
    }
}

impl std::error::Error for CompareError {}

/// Reads a case and writes its comparison.
///
/// # Errors
/// [`CompareError`], whose words name the place in the document and what to do.
pub fn run(file: &Path, format: Format, lang: Lang) -> Result<String, CompareError> {
    let bytes = std::fs::read(file).map_err(|e| CompareError::Unreadable(file.to_owned(), e))?;
    let case = case_check::parse(&bytes).map_err(|p| CompareError::Problems(vec![p]))?;
    let comparison = comparison::compare(&case, lang).map_err(CompareError::Problems)?;
    match format {
        Format::Json => serde_json::to_string_pretty(&comparison).map_err(CompareError::Unwritable),
        Format::Text => Ok(text(&comparison)),
    }
}

/// A comparison as plain text.
fn text(comparison: &Comparison) -> String {
    let mut out = String::new();
    let mut say = |indent: usize, words: &str| {
        out.push_str(&" ".repeat(indent));
        out.push_str(words);
        out.push('\n');
    };
    for notice in &comparison.notices {
        say(0, &format!("! {notice}"));
    }
    for topic in &comparison.missed_topics {
        say(0, &format!("! {} ({:?})", topic.title, topic.why));
    }
    for line in &comparison.lines {
        say(0, &headline(line));
        for sentence in &line.because {
            say(4, sentence);
        }
        for part in &line.parts {
            say(4, &format!("{}: {}", part.words, part.amount));
        }
        for evidence in &line.evidence {
            say(4, &format!("[{}] {}", if evidence.present { "x" } else { " " }, evidence.words));
        }
    }
    for finding in comparison.findings.iter().filter(|f| !f.has_line) {
        let sides = format!("{} -> {}", finding.before, finding.after);
        say(0, &format!("{}: {:?} ({sides})", finding.title, finding.outcome));
        for sentence in &finding.words {
            say(4, sentence);
        }
    }
    say(0, &format!("charged {} / undecided {}", comparison.totals.charged, comparison.totals.undecided));
    out
}

fn headline(line: &Line) -> String {
    format!("{} [{}] {:?}: {} ({})", line.title, line.key, line.state, line.if_charged, line.amount)
}
