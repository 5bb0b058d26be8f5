//! A departure and a return become findings, proposed lines and their evidence.
//!
//! The same function serves the server, `handsel compare` and `handsel verify`.

mod caps;
mod context;
mod damage;
mod decide;
mod kit;
mod proof;
mod readings;
mod totals;

pub use decide::{DecisionRefused, check_decision};

use crate::case::Case;
use crate::case_check::{self, CaseProblem};
use crate::charges::Comparison;
use crate::text::Lang;
use crate::time;
use context::Context;

/// Compares a case.
///
/// # Errors
/// Everything in the document that cannot be reckoned with, each with its place and what to do about it.
pub fn compare(case: &Case, lang: Lang) -> Result<Comparison, Vec<CaseProblem>> {
    let problems = case_check::problems(case);
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut context = Context::new(case, lang);
    run(&mut context).map_err(|e| vec![e])
}

fn run(context: &mut Context<'_>) -> Result<Comparison, CaseProblem> {
    readings::distance(context)?;
    readings::lateness(context)?;
    readings::fuel(context)?;
    readings::lpg(context)?;
    readings::battery(context)?;
    readings::cassette(context)?;
    readings::waters(context)?;
    readings::cleanliness(context)?;
    readings::shown_only(context);
    kit::inventory(context)?;
    damage::conditions(context)?;
    damage::marks(context)?;
    damage::grown(context)?;
    proof::weigh(context);
    decide::apply(context)?;
    caps::apply(context)?;
    let (totals, tax) = totals::reckon(context)?;
    let case = context.case;
    let late = case.return_.handed_over_at.map_or(0, |at| at.seconds_since(case.hire.due_back()).div_euclid(60));
    Ok(Comparison {
        hire: case.hire.id,
        hire_days: time::hire_days(case.depot.zone, case.hire.agreed_departure, case.hire.due_back()),
        minutes_late: late,
        notices: context.notices(),
        missed_topics: context.missed_topics(),
        findings: std::mem::take(&mut context.findings),
        lines: std::mem::take(&mut context.lines).into_iter().map(|draft| draft.line).collect(),
        totals,
        tax,
    })
}
