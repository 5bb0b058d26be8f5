//! What people decided, applied to lines; and which decisions are possible at all.

use super::context::Context;
use crate::case::{Decision, Verdict};
use crate::case_check::CaseProblem;
use crate::charges::{Comparison, Line, LineState};
use crate::money::Money;
use std::fmt;

/// Why a decision cannot stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DecisionRefused {
    UnknownLine {
        line: String,
    },
    /// Adjusting, waiving and holding need a reason; so does accepting a line held for review.
    ReasonMissing,
    /// Adjusting needs an amount.
    AmountMissing,
    AmountNegative,
    WrongCurrency,
    /// More than the rules come to.
    BeyondPrice {
        most: Money,
    },
    /// Nobody has estimated it yet: enter the estimate with `adjust`.
    NoEstimate,
}

impl DecisionRefused {
    /// A stable code for problem documents.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::UnknownLine { .. } => "line_unknown",
            Self::ReasonMissing => "reason_required",
            Self::AmountMissing | Self::AmountNegative | Self::WrongCurrency => "amount_invalid",
            Self::BeyondPrice { .. } => "amount_beyond_rules",
            Self::NoEstimate => "estimate_missing",
        }
    }
}

impl fmt::Display for DecisionRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownLine { line } => write!(f, "the comparison has no line `{line}`"),
            Self::ReasonMissing => f.write_str("this decision needs a reason in words"),
            Self::AmountMissing => f.write_str("adjusting needs the amount to charge instead"),
            Self::AmountNegative => f.write_str("an amount to charge cannot be negative"),
            Self::WrongCurrency => f.write_str("the amount is not in the tariff's currency"),
            Self::BeyondPrice { most } => {
                write!(f, "the rules come to {most}: a line can be adjusted down, never above that")
            }
            Self::NoEstimate => {
                f.write_str("the estimate is still open: enter it by adjusting the line, with a reason")
            }
        }
    }
}

impl std::error::Error for DecisionRefused {}

/// Whether a decision can be taken on a comparison as it stands.
///
/// # Errors
/// [`DecisionRefused`], whose words say what to do.
pub fn check_decision(comparison: &Comparison, decision: &Decision) -> Result<(), DecisionRefused> {
    let line = comparison.lines.iter().find(|l| l.key == decision.line);
    let line = line.ok_or_else(|| DecisionRefused::UnknownLine { line: decision.line.clone() })?;
    check(line, decision)
}

fn check(line: &Line, decision: &Decision) -> Result<(), DecisionRefused> {
    let reasoned = decision.reason.as_ref().is_some_and(|r| !r.trim().is_empty());
    if let Some(amount) = decision.amount {
        if amount.currency != line.amount.currency {
            return Err(DecisionRefused::WrongCurrency);
        }
        if amount.is_negative() {
            return Err(DecisionRefused::AmountNegative);
        }
    }
    match decision.verdict {
        Verdict::Accept => {
            if line.price.is_none() {
                return Err(DecisionRefused::NoEstimate);
            }
            if !line.weakened_by.is_empty() && line.price.is_some_and(|p| !p.is_zero()) && !reasoned {
                return Err(DecisionRefused::ReasonMissing);
            }
            Ok(())
        }
        Verdict::Adjust => {
            if !reasoned {
                return Err(DecisionRefused::ReasonMissing);
            }
            let amount = decision.amount.ok_or(DecisionRefused::AmountMissing)?;
            match line.reckoned() {
                Some(most) if amount.minor > most.minor => Err(DecisionRefused::BeyondPrice { most }),
                _ => Ok(()),
            }
        }
        Verdict::Waive | Verdict::Hold if !reasoned => Err(DecisionRefused::ReasonMissing),
        Verdict::Waive | Verdict::Hold => Ok(()),
    }
}

impl Line {
    /// What the rules come to by themselves: the sum of the parts, not of the caps. None for an estimate.
    #[must_use]
    pub fn reckoned(&self) -> Option<Money> {
        match self.state {
            LineState::NoBaseline => Some(Money::zero(self.amount.currency)),
            _ if self.estimated => None,
            _ => Money::sum(self.amount.currency, self.parts.iter().filter(|p| !p.cap).map(|p| p.amount)).ok(),
        }
    }
}

/// Applies the decision that holds for each line: the last one.
pub(super) fn apply(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    for (index, decision) in c.case.decisions.iter().enumerate() {
        let path = format!("decisions[{index}]");
        let Some(draft) = c.lines.iter_mut().find(|d| d.line.key == decision.line) else {
            let message = DecisionRefused::UnknownLine { line: decision.line.clone() }.to_string();
            return Err(CaseProblem { path, message });
        };
        let line = &mut draft.line;
        check(line, decision).map_err(|e| CaseProblem { path, message: e.to_string() })?;
        line.decision = Some(decision.clone());
    }
    for draft in &mut c.lines {
        let line = &mut draft.line;
        if let Some(decision) = &line.decision {
            line.state = match decision.verdict {
                Verdict::Accept => LineState::Accepted,
                Verdict::Waive => LineState::Waived,
                Verdict::Hold => LineState::Held,
                Verdict::Adjust => {
                    line.price = decision.amount;
                    LineState::Adjusted
                }
            };
        }
        // Said only while it is so: an estimate that was entered is a part of the line instead.
        if line.price.is_none() && line.state != LineState::Waived {
            line.because.push(c.w.estimate_open());
        }
    }
    Ok(())
}
