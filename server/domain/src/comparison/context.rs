//! What every part of the comparison looks things up in and writes to.

use crate::briefing;
use crate::case::Case;
use crate::case_check::CaseProblem;
use crate::charges::{Finding, Line, LineState, Missed, MissedTopic, Outcome, Part};
use crate::exact::{Exact, ExactError};
use crate::inspection::{Entry, PhotoSubject};
use crate::money::{Currency, Money, MoneyError};
use crate::tariff::{RuleKind, Tax};
use crate::template::{BriefingTopic, Checkpoint, InventoryItem, Key, Legs};
use crate::text::Lang;
use crate::words::{Words, words};
use std::collections::{BTreeMap, BTreeSet};

/// Clocks further apart than this are mentioned (rule 3).
const CLOCKS_APART_SECONDS: i64 = 120;

pub(super) struct Context<'a> {
    pub case: &'a Case,
    pub lang: Lang,
    pub w: &'static dyn Words,
    pub currency: Currency,
    /// The questions this vehicle's equipment leaves and both legs are asked, in walking order.
    checkpoints: Vec<&'a Checkpoint>,
    items: Vec<&'a InventoryItem>,
    pub missed: Vec<(&'a BriefingTopic, Missed)>,
    pub findings: Vec<Finding>,
    pub lines: Vec<Draft>,
    departure_entries: BTreeMap<&'a str, &'a Entry>,
    return_entries: BTreeMap<&'a str, &'a Entry>,
}

/// A line with what is needed to finish it.
pub(super) struct Draft {
    pub line: Line,
    pub cause: Cause,
    pub proof: Proof,
    /// Damage: its panel, and the panel's refinish price where the tariff has one.
    pub panel: Option<(Key, Option<Money>)>,
}

/// What caused a line, for matching briefing topics.
#[derive(Clone, Debug, Default)]
pub(super) struct Cause {
    pub checkpoint: Option<Key>,
    pub panel: Option<Key>,
    pub kind: Option<Key>,
    pub item: Option<Key>,
}

/// Where a line's evidence is to be looked for.
#[derive(Clone, Debug)]
pub(super) enum Proof {
    /// Answers to these checkpoints; whether the reading's own photograph belongs to it.
    Entries { checkpoints: Vec<Key>, photo: bool },
    /// The agreement's times.
    Agreement,
    /// A damage on a viewpoint, with its own photographs at return and the checkpoint-free register before.
    Mark { viewpoint: Key, photos: Vec<String>, registered: bool },
}

/// What a line starts from.
pub(super) struct Proposal {
    pub key: String,
    pub rule: RuleKind,
    pub title: String,
    pub tax: Tax,
    /// None while an estimate is open.
    pub parts: Option<Vec<Part>>,
    pub because: Vec<String>,
    pub baseline: bool,
    pub outside_excess: bool,
    pub cause: Cause,
    pub proof: Proof,
    pub panel: Option<(Key, Option<Money>)>,
}

impl<'a> Context<'a> {
    pub(super) fn new(case: &'a Case, lang: Lang) -> Self {
        let equipment: BTreeSet<Key> = case.vehicle.equipment.iter().cloned().collect();
        let fitted = |needs: &[Key]| needs.iter().all(|n| equipment.contains(n));
        // What only one leg is asked has nothing to be compared with.
        let both = |legs: Legs| legs == Legs::Both;
        let stops = &case.template.stops;
        let signed_at = case.departure.signed_at;
        let records: BTreeMap<&str, _> = case.departure.briefings.iter().map(|b| (b.topic.as_str(), b)).collect();
        let missed = case
            .template
            .briefings
            .iter()
            .filter(|t| briefing::due(t, &equipment, &case.hire, case.depot.zone))
            .filter_map(|t| Some((t, briefing::missed(records.get(t.key.as_str()).copied(), signed_at)?)))
            .collect();
        Self {
            case,
            lang,
            w: words(lang),
            currency: case.tariff.currency,
            checkpoints: stops
                .iter()
                .flat_map(|s| &s.checkpoints)
                .filter(|p| both(p.leg) && fitted(&p.needs))
                .collect(),
            items: stops.iter().flat_map(|s| &s.inventory).filter(|i| fitted(&i.needs)).collect(),
            missed,
            findings: Vec::new(),
            lines: Vec::new(),
            departure_entries: case.departure.entries.iter().map(|e| (e.checkpoint.as_str(), e)).collect(),
            return_entries: case.return_.entries.iter().map(|e| (e.checkpoint.as_str(), e)).collect(),
        }
    }

    /// The answers that count (the last ones) at departure and at return.
    pub(super) fn pair(&self, checkpoint: &str) -> (Option<&'a Entry>, Option<&'a Entry>) {
        (self.departure_entries.get(checkpoint).copied(), self.return_entries.get(checkpoint).copied())
    }

    /// Checkpoints in walking order.
    pub(super) fn checkpoints(&self) -> Vec<&'a Checkpoint> {
        self.checkpoints.clone()
    }

    /// Pieces of kit in walking order.
    pub(super) fn items(&self) -> Vec<&'a InventoryItem> {
        self.items.clone()
    }

    pub(super) fn finding(
        &mut self,
        key: &str,
        title: &str,
        outcome: Outcome,
        before: String,
        after: String,
        words: Vec<String>,
    ) {
        self.findings.push(Finding {
            key: key.to_owned(),
            title: title.to_owned(),
            outcome,
            before,
            after,
            words,
            has_line: false,
        });
    }

    /// Adds a line for the finding just written.
    pub(super) fn propose(&mut self, proposal: Proposal) -> Result<(), CaseProblem> {
        let zero = Money::zero(self.currency);
        let parts = proposal.parts.clone().unwrap_or_default();
        let sum = Money::sum(self.currency, parts.iter().map(|p| p.amount)).map_err(|e| money(&proposal.key, e))?;
        let (state, price, parts) = if !proposal.baseline {
            (LineState::NoBaseline, Some(zero), Vec::new())
        } else if proposal.parts.is_none() {
            (LineState::EstimateOpen, None, Vec::new())
        } else {
            (LineState::Proposed, Some(sum), parts)
        };
        let mut because = proposal.because;
        if !proposal.baseline {
            because.push(self.w.no_baseline());
        }
        if proposal.outside_excess {
            because.push(self.w.outside_excess());
        }
        if let Some(finding) = self.findings.iter_mut().rev().find(|f| f.key == proposal.key) {
            finding.has_line = true;
        }
        self.lines.push(Draft {
            line: Line {
                key: proposal.key,
                rule: proposal.rule,
                title: proposal.title,
                state,
                price,
                amount: zero,
                if_charged: zero,
                parts,
                tax: proposal.tax,
                estimated: proposal.parts.is_none(),
                outside_excess: proposal.outside_excess,
                because,
                evidence: Vec::new(),
                weak_points: Vec::new(),
                weakened_by: Vec::new(),
                decision: None,
            },
            cause: proposal.cause,
            proof: proposal.proof,
            panel: proposal.panel,
        });
        Ok(())
    }

    /// `quantity x price`, rounded once: one part of a line.
    pub(super) fn part(
        &self,
        key: &str,
        words: String,
        quantity: Exact,
        unit: &str,
        price: Money,
    ) -> Result<Part, CaseProblem> {
        let amount = price.times(quantity).map_err(|e| money(key, e))?;
        let unit = (!unit.is_empty()).then(|| unit.to_owned());
        Ok(Part { words, quantity: Some(quantity), unit, unit_price: Some(price), amount, cap: false })
    }

    /// Photographs of a subject taken before the departure was signed.
    pub(super) fn departure_photos(&self, subject: &PhotoSubject) -> Vec<String> {
        let signed = self.case.departure.signed_at;
        let in_time = |at| signed.is_none_or(|s| at <= s);
        let photos = self.case.departure.photos.iter();
        photos.filter(|p| p.subject == *subject && in_time(p.taken_at)).map(|p| p.id.to_string()).collect()
    }

    pub(super) fn return_photos(&self, subject: &PhotoSubject) -> Vec<String> {
        let photos = self.case.return_.photos.iter();
        photos.filter(|p| p.subject == *subject).map(|p| p.id.to_string()).collect()
    }

    pub(super) fn notices(&self) -> Vec<String> {
        let both = [&self.case.departure, &self.case.return_];
        both.iter()
            .filter_map(|i| {
                let clocks = i.clocks?;
                let apart = clocks.device.seconds_since(clocks.server);
                (apart.abs() > CLOCKS_APART_SECONDS).then(|| self.w.clocks_apart(i.leg, apart))
            })
            .collect()
    }

    pub(super) fn missed_topics(&self) -> Vec<MissedTopic> {
        self.missed
            .iter()
            .map(|(topic, why)| {
                let record = self.case.departure.briefings.iter().find(|b| b.topic == topic.key);
                let weakens = self.lines.iter().filter(|d| d.line.weakened_by.contains(&topic.key));
                MissedTopic {
                    topic: topic.key.clone(),
                    title: topic.title.get(self.lang).to_owned(),
                    why: *why,
                    reason: record.and_then(|r| r.overridden.as_ref()).map(|o| o.reason.clone()),
                    weakens: weakens.map(|d| d.line.key.clone()).collect(),
                }
            })
            .collect()
    }
}

/// A figure that went out of range while a line was reckoned.
pub(super) fn money(key: &str, error: MoneyError) -> CaseProblem {
    CaseProblem { path: format!("line {key}"), message: error.to_string() }
}

pub(super) fn exact(key: &str, error: ExactError) -> CaseProblem {
    CaseProblem { path: format!("line {key}"), message: error.to_string() }
}
