//! Sums over lines, and the tax inside what is charged (rule 1).

use super::context::{Context, money};
use crate::case_check::CaseProblem;
use crate::charges::{LineState, TaxGroup, Totals};
use crate::money::Money;
use crate::tariff::Tax;

pub(super) fn reckon(c: &Context<'_>) -> Result<(Totals, Vec<TaxGroup>), CaseProblem> {
    let fail = |e| money("totals", e);
    let zero = Money::zero(c.currency);
    let mut totals = Totals { charged: zero, undecided: zero, open_lines: 0, open_estimates: 0 };
    let mut groups: Vec<TaxGroup> = Vec::new();
    for line in c.lines.iter().map(|d| &d.line) {
        if line.state.is_open() {
            totals.open_lines += 1;
            totals.open_estimates += u32::from(line.state == LineState::EstimateOpen || line.price.is_none());
            totals.undecided = totals.undecided.plus(line.if_charged).map_err(fail)?;
        }
        if !line.state.is_charged() {
            continue;
        }
        totals.charged = totals.charged.plus(line.amount).map_err(fail)?;
        match groups.iter_mut().find(|g| g.tax == line.tax) {
            Some(group) => group.total = group.total.plus(line.amount).map_err(fail)?,
            None => groups.push(TaxGroup { tax: line.tax, total: line.amount, tax_inside: zero }),
        }
    }
    for group in &mut groups {
        if let Tax::Standard { rate } = group.tax {
            group.tax_inside = group.total.tax_inside(rate).map_err(fail)?;
        }
    }
    Ok((totals, groups))
}
