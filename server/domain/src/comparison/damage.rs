//! New marks, registered marks that have grown, and things that were in order and are not (rule 5).

use super::context::{Cause, Context, Proof, Proposal, money};
use crate::case_check::CaseProblem;
use crate::charges::{Outcome, Part};
use crate::damage::Cost;
use crate::exact::Exact;
use crate::inspection::{Answer, Condition, Mark, PhotoSubject};
use crate::money::Money;
use crate::tariff::{DamageRule, Price, RuleKind};
use crate::template::{Ask, Key};

/// Condition checkpoints: in order at departure, not at return.
pub(super) fn conditions(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    for checkpoint in c.checkpoints() {
        if !matches!(checkpoint.ask, Ask::Condition) {
            continue;
        }
        let (out, back) = c.pair(&checkpoint.key);
        let state = |e: Option<&crate::inspection::Entry>| match e.map(|e| &e.answer) {
            Some(Answer::Condition { state }) => Some(*state),
            _ => None,
        };
        let key = format!("repair.{}", checkpoint.key);
        let title = checkpoint.title.get(c.lang).to_owned();
        let show = |s: Option<Condition>| s.map(|s| c.w.condition(s)).unwrap_or_default();
        let (before, after) = (state(out), state(back));
        let (before_words, after_words) = (show(before), show(after));
        let bad = |s: Condition| matches!(s, Condition::NeedsAttention | Condition::Missing);
        let rule = c.case.tariff.repair.clone();
        let price = rule.as_ref().and_then(|r| r.items.iter().find(|i| i.checkpoint == checkpoint.key)).cloned();
        let baseline = match (before, after) {
            (Some(Condition::InOrder), Some(now)) if bad(now) => true,
            // Nobody looked at departure, or could not: whatever is wrong now may have been wrong then.
            (None | Some(Condition::NotChecked), Some(now)) if bad(now) => false,
            (Some(was), Some(now)) => {
                let outcome = if was == now { Outcome::Unchanged } else { Outcome::Attention };
                c.finding(&key, &title, outcome, before_words, after_words, Vec::new());
                continue;
            }
            (Some(_), None) => {
                let words = vec![c.w.no_return_record(&title)];
                c.finding(&key, &title, Outcome::NotRecorded, before_words, after_words, words);
                continue;
            }
            (None, _) => continue,
        };
        let mut words = vec![c.w.condition_changed(&before_words, &after_words)];
        if let Some(note) = back.and_then(|e| e.note.as_ref()) {
            words.push(c.w.note(note));
        }
        let outcome = if baseline { Outcome::Worse } else { Outcome::NoBaseline };
        c.finding(&key, &title, outcome, before_words, after_words, words.clone());
        let (Some(rule), Some(price)) = (rule, price) else { continue };
        let parts = match price.price {
            Price::Flat(amount) => Some(vec![c.part(&key, c.w.part_repair(), Exact::ONE, "", amount)?]),
            Price::Estimate => None,
        };
        c.propose(Proposal {
            key,
            rule: RuleKind::Repair,
            title,
            tax: rule.tax,
            parts,
            because: words,
            baseline,
            outside_excess: false,
            cause: Cause { checkpoint: Some(checkpoint.key.clone()), ..Cause::default() },
            proof: Proof::Entries { checkpoints: vec![checkpoint.key.clone()], photo: true },
            panel: None,
        })?;
    }
    Ok(())
}

/// Where a mark is and what its panel means to the tariff.
struct Place {
    title: String,
    group: Key,
    outside: bool,
}

fn place(c: &Context<'_>, mark: &Mark) -> Place {
    let panel = c.case.template.panel(&mark.panel);
    let group = panel.map(|p| p.group.clone()).unwrap_or_default();
    let excluded = &c.case.hire.outside_excess;
    Place {
        title: c.w.mark_title(panel.map_or(mark.panel.as_str(), |p| p.title.get(c.lang)), &mark.kind),
        outside: excluded.kinds.contains(&mark.kind)
            || excluded.panels.contains(&mark.panel)
            || excluded.groups.contains(&group),
        group,
    }
}

/// Marks the register did not have at departure.
pub(super) fn marks(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    for mark in &c.case.return_.marks {
        let key = format!("mark.{}", mark.id);
        let place = place(c, mark);
        let before = c.w.not_in_register();
        let after = c.w.mark(mark.size_mm, mark.depth);
        let Some(rule) = c.case.tariff.damage.clone() else {
            let words = vec![c.w.not_priced()];
            c.finding(&key, &place.title, Outcome::Worse, before, after, words);
            continue;
        };
        // The register the hirer signed is the departure's record of every panel; a departure photograph of the
        // viewpoint is one of this panel.
        let seen = PhotoSubject::Viewpoint { viewpoint: mark.viewpoint.clone() };
        let baseline = super::proof::hirer_signed(&c.case.departure) || !c.departure_photos(&seen).is_empty();
        match rule.cost(&place.group, &mark.kind, mark.size_mm) {
            Cost::FairWear { up_to_mm } => {
                let words = vec![c.w.fair_wear(mark.size_mm, up_to_mm)];
                c.finding(&key, &place.title, Outcome::FairWear, before, after, words);
            }
            cost => {
                let mut words = vec![c.w.new_mark(mark.size_mm)];
                let price = priced(c, &key, &rule, &place, (&mark.kind, mark.size_mm), cost, &mut words)?;
                let outcome = if baseline { Outcome::Worse } else { Outcome::NoBaseline };
                c.finding(&key, &place.title, outcome, before, after, words.clone());
                propose(c, key, place, mark, &rule, price, words, baseline, mark.photos.clone(), false)?;
            }
        }
    }
    Ok(())
}

/// Registered marks looked at again.
pub(super) fn grown(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    for sighting in &c.case.return_.sightings {
        let Some(mark) = c.case.register.iter().find(|m| m.id == sighting.mark) else { continue };
        let key = format!("growth.{}", mark.id);
        let place = place(c, mark);
        let before = c.w.mark(mark.size_mm, mark.depth);
        let after = c.w.mark(sighting.size_mm, mark.depth);
        let rule = c.case.tariff.damage.clone();
        let cost = match &rule {
            Some(r) => {
                r.growth(&place.group, &mark.kind, mark.size_mm, sighting.size_mm).map_err(|e| money(&key, e))?
            }
            None => None,
        };
        let (Some(rule), Some(cost)) = (rule, cost) else {
            let words = vec![c.w.registered(mark.size_mm, sighting.size_mm)];
            c.finding(&key, &place.title, Outcome::AlreadyRegistered, before, after, words);
            continue;
        };
        let mut words = vec![c.w.grown(mark.size_mm, sighting.size_mm)];
        let price = step_priced(c, &key, &rule, &place, mark, sighting.size_mm, cost, &mut words)?;
        c.finding(&key, &place.title, Outcome::Worse, before, after, words.clone());
        propose(c, key, place, mark, &rule, price, words, true, sighting.photos.clone(), true)?;
    }
    Ok(())
}

fn priced(
    c: &Context<'_>,
    key: &str,
    rule: &DamageRule,
    place: &Place,
    (kind, size_mm): (&str, u32),
    cost: Cost,
    words: &mut Vec<String>,
) -> Result<Option<Vec<Part>>, CaseProblem> {
    let band = rule.band(size_mm).map(|b| b.key.clone()).unwrap_or_default();
    Ok(match cost {
        Cost::Flat(amount) => {
            words.push(c.w.damage_price(&place.group, kind, &band, amount));
            Some(vec![c.part(key, c.w.part_damage(), Exact::ONE, "", amount)?])
        }
        Cost::Estimate | Cost::FairWear { .. } => None,
    })
}

/// The step of a grown mark, told with both ends of it.
#[expect(clippy::too_many_arguments, reason = "each is a different fact of one mark; a struct would only rename them")]
fn step_priced(
    c: &Context<'_>,
    key: &str,
    rule: &DamageRule,
    place: &Place,
    mark: &Mark,
    now_mm: u32,
    cost: Cost,
    words: &mut Vec<String>,
) -> Result<Option<Vec<Part>>, CaseProblem> {
    match (rule.cost(&place.group, &mark.kind, mark.size_mm), rule.cost(&place.group, &mark.kind, now_mm), cost) {
        (Cost::Flat(old), Cost::Flat(new), Cost::Flat(step)) => {
            words.push(c.w.damage_step(&place.group, &mark.kind, old, new, step));
            Ok(Some(vec![c.part(key, c.w.part_damage(), Exact::ONE, "", step)?]))
        }
        _ => priced(c, key, rule, place, (&mark.kind, now_mm), cost, words),
    }
}

#[expect(clippy::too_many_arguments, reason = "each is a different fact of one mark; a struct would only rename them")]
fn propose(
    c: &mut Context<'_>,
    key: String,
    place: Place,
    mark: &Mark,
    rule: &DamageRule,
    parts: Option<Vec<Part>>,
    because: Vec<String>,
    baseline: bool,
    photos: Vec<crate::ids::PhotoId>,
    registered: bool,
) -> Result<(), CaseProblem> {
    let refinish: Option<Money> = rule.refinish_price(&place.group);
    c.propose(Proposal {
        key,
        rule: RuleKind::Damage,
        title: place.title,
        tax: rule.tax,
        parts,
        because,
        baseline,
        outside_excess: place.outside,
        cause: Cause { panel: Some(mark.panel.clone()), kind: Some(mark.kind.clone()), ..Cause::default() },
        proof: Proof::Mark {
            viewpoint: mark.viewpoint.clone(),
            photos: photos.iter().map(ToString::to_string).collect(),
            registered,
        },
        panel: Some((mark.panel.clone(), refinish)),
    })
}
