//! What a season of returns comes to: charges, waivers and why, disputes, how long the hirers waited, what was not
//! explained, and where vehicles are damaged.

use crate::case::Case;
use crate::charges::{Comparison, Line, LineState, Missed};
use crate::dispute::DisputeOutcome;
use crate::ids::StaffId;
use crate::money::{Currency, Money, MoneyError};
use crate::tariff::RuleKind;
use crate::template::Key;
use crate::time::Instant;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What one hire adds to a report, kept when it was last reckoned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Facts {
    pub layout: Key,
    pub lines: Vec<LineFact>,
    pub missed: Vec<MissedFact>,
}

/// One proposed line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LineFact {
    pub rule: RuleKind,
    pub state: LineState,
    /// What is charged.
    pub amount: Money,
    /// What the rules propose.
    pub proposed: Money,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Of damage: where.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<Key>,
}

/// One topic that was due and missed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MissedFact {
    pub topic: Key,
    pub why: Missed,
    /// Who signed the departure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub staff: Option<StaffId>,
}

impl Facts {
    /// The facts of a case and what it came to.
    #[must_use]
    pub fn of(case: &Case, compared: &Comparison, signed_by: Option<StaffId>) -> Self {
        let marks = case.return_.marks.iter().chain(&case.register);
        let panels: BTreeMap<String, &Key> = marks.map(|m| (format!("mark.{}", m.id), &m.panel)).collect();
        let lines = compared.lines.iter().map(|line| LineFact {
            rule: line.rule,
            state: line.state,
            amount: line.amount,
            proposed: proposed(line),
            reason: line.decision.as_ref().and_then(|d| d.reason.clone()),
            panel: panels.get(&line.key).map(|p| (*p).clone()),
        });
        let missed =
            compared.missed_topics.iter().map(|m| MissedFact { topic: m.topic.clone(), why: m.why, staff: signed_by });
        Self { layout: case.template.layout.clone(), lines: lines.collect(), missed: missed.collect() }
    }
}

/// What the rules come to: as it would be charged, or before a person took something off.
fn proposed(line: &Line) -> Money {
    match line.state {
        LineState::Waived | LineState::Adjusted => {
            line.reckoned().or(line.price).unwrap_or_else(|| Money::zero(line.amount.currency))
        }
        _ => line.if_charged,
    }
}

/// One hire of the period.
#[derive(Clone, Debug)]
pub struct Told {
    pub facts: Facts,
    pub returned_at: Instant,
    pub settled_at: Option<Instant>,
    pub disputes: Vec<Option<DisputeOutcome>>,
}

/// Sums over one kind of charge.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct ChargeRow {
    pub rule: RuleKind,
    pub lines: u32,
    pub proposed: Money,
    pub charged: Money,
    /// Taken off by people: waived lines, and what adjusted ones were lowered by.
    pub let_off: Money,
    pub waived: u32,
    pub adjusted: u32,
    pub open: u32,
}

/// Why lines were waived or lowered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReasonRow {
    pub reason: String,
    pub lines: u32,
    pub let_off: Money,
}

/// A topic that was missed, and how often.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct MissedRow {
    pub topic: Key,
    #[schema(required = true)]
    pub staff: Option<StaffId>,
    pub times: u32,
    /// How many of those went on without it, with a reason.
    pub overridden: u32,
}

/// Damage that was new at return, by where it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct DamageRow {
    pub layout: Key,
    pub panel: Key,
    pub times: u32,
    pub proposed: Money,
}

/// How disputes ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Disputes {
    pub open: u32,
    pub upheld: u32,
    pub partly_upheld: u32,
    pub rejected: u32,
    pub withdrawn: u32,
}

/// From return to closed settlement, in hours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Waited {
    pub settled: u32,
    #[schema(required = true)]
    pub median_hours: Option<i64>,
    /// Nine in ten were settled by then.
    #[schema(required = true)]
    pub ninth_decile_hours: Option<i64>,
    #[schema(required = true)]
    pub longest_hours: Option<i64>,
    pub not_settled: u32,
}

/// All of it, in one currency.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Report {
    pub currency: Currency,
    pub returns: u32,
    pub charges: Vec<ChargeRow>,
    pub reasons: Vec<ReasonRow>,
    pub disputes: Disputes,
    pub waited: Waited,
    pub missed: Vec<MissedRow>,
    pub damage: Vec<DamageRow>,
}

/// Adds up what belongs to one currency.
///
/// # Errors
/// A sum beyond the limit.
pub fn report(currency: Currency, hires: &[Told]) -> Result<Report, MoneyError> {
    let none = Money::zero(currency);
    let mut charges: BTreeMap<RuleKind, ChargeRow> = BTreeMap::new();
    let mut reasons: BTreeMap<String, ReasonRow> = BTreeMap::new();
    let mut missed: BTreeMap<(Key, Option<StaffId>), MissedRow> = BTreeMap::new();
    let mut damage: BTreeMap<(Key, Key), DamageRow> = BTreeMap::new();
    let mut disputes = Disputes::default();
    let mut hours = Vec::new();
    let mut returns = 0;
    for hire in hires.iter().filter(|h| h.facts.lines.first().is_none_or(|l| l.amount.currency == currency)) {
        returns += 1;
        for line in hire.facts.lines.iter().filter(|l| l.state != LineState::NoBaseline) {
            let row = charges.entry(line.rule).or_insert_with(|| ChargeRow {
                rule: line.rule,
                lines: 0,
                proposed: none,
                charged: none,
                let_off: none,
                waived: 0,
                adjusted: 0,
                open: 0,
            });
            row.lines += 1;
            row.proposed = row.proposed.plus(line.proposed)?;
            row.charged = row.charged.plus(line.amount)?;
            row.open += u32::from(line.state.is_open());
            row.waived += u32::from(line.state == LineState::Waived);
            row.adjusted += u32::from(line.state == LineState::Adjusted);
            let off = match line.state {
                LineState::Waived => line.proposed,
                LineState::Adjusted => at_least(line.proposed.minus(line.amount)?, none),
                _ => none,
            };
            row.let_off = row.let_off.plus(off)?;
            if let (LineState::Waived | LineState::Adjusted, Some(reason)) = (line.state, &line.reason) {
                let row = reasons.entry(reason.trim().to_lowercase()).or_insert_with(|| ReasonRow {
                    reason: reason.trim().to_owned(),
                    lines: 0,
                    let_off: none,
                });
                row.lines += 1;
                row.let_off = row.let_off.plus(off)?;
            }
            if let Some(panel) = &line.panel {
                let row = damage.entry((hire.facts.layout.clone(), panel.clone())).or_insert_with(|| DamageRow {
                    layout: hire.facts.layout.clone(),
                    panel: panel.clone(),
                    times: 0,
                    proposed: none,
                });
                row.times += 1;
                row.proposed = row.proposed.plus(line.proposed)?;
            }
        }
        for fact in &hire.facts.missed {
            let row = missed.entry((fact.topic.clone(), fact.staff)).or_insert_with(|| MissedRow {
                topic: fact.topic.clone(),
                staff: fact.staff,
                times: 0,
                overridden: 0,
            });
            row.times += 1;
            row.overridden += u32::from(fact.why == Missed::Overridden);
        }
        for outcome in &hire.disputes {
            *match outcome {
                None => &mut disputes.open,
                Some(DisputeOutcome::Upheld) => &mut disputes.upheld,
                Some(DisputeOutcome::PartlyUpheld) => &mut disputes.partly_upheld,
                Some(DisputeOutcome::Rejected) => &mut disputes.rejected,
                Some(DisputeOutcome::Withdrawn) => &mut disputes.withdrawn,
            } += 1;
        }
        hours.extend(hire.settled_at.map(|at| at.seconds_since(hire.returned_at) / 3600));
    }
    let mut reasons: Vec<ReasonRow> = reasons.into_values().collect();
    reasons.sort_by_key(|r| std::cmp::Reverse((r.let_off.minor, r.lines)));
    let mut missed: Vec<MissedRow> = missed.into_values().collect();
    missed.sort_by_key(|m| std::cmp::Reverse(m.times));
    let mut damage: Vec<DamageRow> = damage.into_values().collect();
    damage.sort_by_key(|d| std::cmp::Reverse((d.times, d.proposed.minor)));
    let waited = waited(hours, returns);
    Ok(Report {
        currency,
        returns,
        charges: charges.into_values().collect(),
        reasons,
        disputes,
        waited,
        missed,
        damage,
    })
}

fn at_least(money: Money, least: Money) -> Money {
    if money.minor < least.minor { least } else { money }
}

fn waited(mut hours: Vec<i64>, returns: u32) -> Waited {
    hours.sort_unstable();
    let settled = u32::try_from(hours.len()).unwrap_or(u32::MAX);
    // The smallest that so many tenths do not exceed (nearest rank).
    let rank = |tenths: usize| hours.get((hours.len() * tenths).div_ceil(10).saturating_sub(1)).copied();
    Waited {
        settled,
        median_hours: rank(5),
        ninth_decile_hours: rank(9),
        longest_hours: hours.last().copied(),
        not_settled: returns.saturating_sub(settled),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pounds(minor: i64) -> Money {
        Money::new(minor, Currency::Gbp)
    }

    fn line(state: LineState, proposed: i64, amount: i64, reason: Option<&str>) -> LineFact {
        LineFact {
            rule: RuleKind::Fuel,
            state,
            amount: pounds(amount),
            proposed: pounds(proposed),
            reason: reason.map(str::to_owned),
            panel: Some("door".to_owned()),
        }
    }

    fn told(lines: Vec<LineFact>, hours: Option<i64>) -> Told {
        let returned_at: Instant = "2026-04-04T12:00:00Z".parse().unwrap();
        let missed = vec![MissedFact { topic: "lid".to_owned(), why: Missed::Overridden, staff: None }];
        Told {
            facts: Facts { layout: "coachbuilt".to_owned(), lines, missed },
            returned_at,
            settled_at: hours.map(|h| returned_at.plus_seconds(h * 3600)),
            disputes: vec![Some(DisputeOutcome::Upheld), None],
        }
    }

    #[test]
    fn sums_are_those_of_the_hires() {
        let hires = [
            told(
                vec![line(LineState::Accepted, 5000, 5000, None), line(LineState::Waived, 2000, 0, Some("Goodwill"))],
                Some(10),
            ),
            told(
                vec![line(LineState::Adjusted, 4000, 1000, Some("goodwill ")), line(LineState::Proposed, 700, 0, None)],
                Some(30),
            ),
            told(vec![line(LineState::NoBaseline, 0, 0, None)], None),
        ];
        let made = report(Currency::Gbp, &hires).unwrap();
        let fuel = &made.charges[0];
        assert_eq!((fuel.lines, fuel.waived, fuel.adjusted, fuel.open), (4, 1, 1, 1));
        assert_eq!((fuel.proposed, fuel.charged, fuel.let_off), (pounds(11_700), pounds(6000), pounds(5000)));
        assert_eq!(made.reasons, [ReasonRow { reason: "Goodwill".to_owned(), lines: 2, let_off: pounds(5000) }]);
        assert_eq!((made.disputes.upheld, made.disputes.open), (3, 3));
        let waited = made.waited;
        assert_eq!((waited.median_hours, waited.ninth_decile_hours, waited.not_settled), (Some(10), Some(30), 1));
        assert_eq!((made.missed[0].times, made.missed[0].overridden), (3, 3));
        assert_eq!((made.damage[0].times, made.returns), (4, 3));
        assert_eq!(report(Currency::Eur, &hires).unwrap().returns, 0);
    }
}
