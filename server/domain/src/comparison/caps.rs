//! The panel cap, then the excess (rule 5), over the lines that count.
//!
//! Lines are taken in the order of the comparison, those a person has put aside or must still review last, so that
//! they never push a clear line out of a cap. An accepted line never grows beyond what the person accepted when
//! another one is waived.

use super::context::{Context, Draft, money};
use crate::case_check::CaseProblem;
use crate::charges::{LineState, Part};
use crate::money::Money;
use crate::tariff::RuleKind;
use crate::template::Key;
use std::collections::BTreeMap;

pub(super) fn apply(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let mut drafts = std::mem::take(&mut c.lines);
    let order = {
        let late = |d: &Draft| matches!(d.line.state, LineState::HeldForReview | LineState::Held);
        let mut order: Vec<usize> = (0..drafts.len()).collect();
        order.sort_by_key(|&i| drafts.get(i).is_some_and(late));
        order
    };
    let mut panels: BTreeMap<Key, Money> = BTreeMap::new();
    let mut excess = c.case.hire.excess;
    for index in order {
        let Some(draft) = drafts.get_mut(index) else { continue };
        let counted = one(c, draft, &mut panels, &mut excess)?;
        let line = &mut draft.line;
        line.if_charged = counted;
        line.amount = if line.state.is_charged() { counted } else { Money::zero(c.currency) };
    }
    c.lines = drafts;
    Ok(())
}

/// Takes one line through both caps; returns what is left of it.
fn one(
    c: &Context<'_>,
    draft: &mut Draft,
    panels: &mut BTreeMap<Key, Money>,
    excess: &mut Money,
) -> Result<Money, CaseProblem> {
    let zero = Money::zero(c.currency);
    let key = draft.line.key.clone();
    let fail = |e| money(&key, e);
    let Some(price) = draft.line.price.filter(|_| draft.line.state != LineState::Waived) else { return Ok(zero) };
    let mut left = price;
    if draft.line.state == LineState::Adjusted && !draft.line.estimated {
        let own = draft.line.reckoned().unwrap_or(zero);
        cut(&mut draft.line.parts, c.w.part_adjusted(), price.minus(own).map_err(fail)?);
    } else if draft.line.state == LineState::Adjusted {
        cut(&mut draft.line.parts, c.w.part_estimate(), price);
    }
    if let Some((panel, Some(refinish))) = &draft.panel {
        let room = panels.entry(panel.clone()).or_insert(*refinish);
        let counted = left.min(*room).map_err(fail)?;
        cut(&mut draft.line.parts, c.w.part_panel_cap(*refinish), counted.minus(left).map_err(fail)?);
        *room = room.minus(counted).map_err(fail)?;
        left = counted;
    }
    let damage = matches!(draft.line.rule, RuleKind::Damage | RuleKind::Repair);
    if damage && !draft.line.outside_excess {
        let counted = left.min(*excess).map_err(fail)?;
        let words = c.w.part_excess_cap(c.case.hire.excess);
        cut(&mut draft.line.parts, words, counted.minus(left).map_err(fail)?);
        *excess = excess.minus(counted).map_err(fail)?;
        left = counted;
    }
    if draft.line.state == LineState::Accepted
        && let Some(accepted) = draft.line.decision.as_ref().and_then(|d| d.amount)
    {
        let counted = left.min(accepted).map_err(fail)?;
        cut(&mut draft.line.parts, c.w.part_as_accepted(accepted), counted.minus(left).map_err(fail)?);
        left = counted;
    }
    Ok(left)
}

fn cut(parts: &mut Vec<Part>, words: String, amount: Money) {
    if !amount.is_zero() {
        parts.push(Part { words, quantity: None, unit: None, unit_price: None, amount, cap: true });
    }
}
