//! Missing kit and keys, at their value on the day of return (rule 4).

use super::context::{Cause, Context, Proof, Proposal, exact};
use crate::case_check::CaseProblem;
use crate::charges::Outcome;
use crate::exact::Exact;
use crate::inspection::{Answer, Entry};
use crate::readings::inventory as inventory_rule;
use crate::tariff::{ItemPrice, RuleKind};
use crate::template::{Ask, Key};
use crate::time::Date;

/// The item name keys are priced under.
const KEYS: &str = "keys";

struct Counted {
    /// Where the answers are.
    checkpoint: Key,
    /// Where the price is.
    item: Key,
    title: String,
}

fn pieces(entry: &Entry) -> Option<u32> {
    match entry.answer {
        Answer::Count { pieces } | Answer::Keys { pieces } => Some(pieces),
        _ => None,
    }
}

pub(super) fn inventory(c: &mut Context<'_>) -> Result<(), CaseProblem> {
    let mut counted = Vec::new();
    for checkpoint in c.checkpoints().into_iter().filter(|p| matches!(p.ask, Ask::Keys)) {
        let title = checkpoint.title.get(c.lang).to_owned();
        counted.push(Counted { checkpoint: checkpoint.key.clone(), item: KEYS.into(), title });
    }
    for item in c.items() {
        let title = item.title.get(c.lang).to_owned();
        counted.push(Counted { checkpoint: item.key.clone(), item: item.key.clone(), title });
    }
    counted.iter().try_for_each(|thing| compare_one(c, thing))
}

fn compare_one(c: &mut Context<'_>, thing: &Counted) -> Result<(), CaseProblem> {
    let key = format!("inventory.{}", thing.item);
    let (out, back) = c.pair(&thing.checkpoint);
    let show = |e: Option<&Entry>| e.map(|e| c.w.answer(&e.answer)).unwrap_or_default();
    let (before, after) = (show(out), show(back));
    match (out.and_then(pieces), back.and_then(pieces)) {
        (Some(went), Some(came)) if came < went => missing(c, &key, thing, went, came, (before, after)),
        (Some(went), Some(came)) => {
            let outcome = if came > went { Outcome::Better } else { Outcome::Unchanged };
            let words = if came > went { vec![c.w.more_pieces(went, came)] } else { Vec::new() };
            c.finding(&key, &thing.title, outcome, before, after, words);
            Ok(())
        }
        (None, Some(_)) => {
            let words = vec![c.w.no_departure_record(&thing.title)];
            c.finding(&key, &thing.title, Outcome::NoBaseline, before, after, words);
            Ok(())
        }
        (Some(_), None) => {
            let words = vec![c.w.no_return_record(&thing.title)];
            c.finding(&key, &thing.title, Outcome::NotRecorded, before, after, words);
            Ok(())
        }
        (None, None) => Ok(()),
    }
}

fn missing(
    c: &mut Context<'_>,
    key: &str,
    thing: &Counted,
    went: u32,
    came: u32,
    (before, after): (String, String),
) -> Result<(), CaseProblem> {
    let lost = went - came;
    let mut words = vec![c.w.pieces_missing(went, came, lost)];
    let rule = c.case.tariff.inventory.clone();
    let priced = rule.as_ref().and_then(|r| r.items.iter().find(|i| i.item == thing.item)).cloned();
    let (Some(rule), Some(price)) = (rule, priced) else {
        words.push(c.w.not_priced());
        c.finding(key, &thing.title, Outcome::Worse, before, after, words);
        return Ok(());
    };
    let share = value_words(c, key, &price, &mut words)?;
    c.finding(key, &thing.title, Outcome::Worse, before, after, words.clone());
    let quantity = share.times(Exact::whole(i64::from(lost))).map_err(|e| exact(key, e))?;
    let part_words = c.w.part_inventory(lost, share);
    let part = c.part(key, part_words, quantity, "", price.price)?;
    c.propose(Proposal {
        key: key.to_owned(),
        rule: RuleKind::Inventory,
        title: thing.title.clone(),
        tax: rule.tax,
        parts: Some(vec![part]),
        because: words,
        baseline: true,
        outside_excess: false,
        cause: Cause { item: Some(thing.item.clone()), ..Cause::default() },
        proof: Proof::Entries { checkpoints: vec![thing.checkpoint.clone()], photo: false },
        panel: None,
    })
}

/// The value share on the day of return, and the words that say how it came about.
fn value_words(c: &Context<'_>, key: &str, price: &ItemPrice, words: &mut Vec<String>) -> Result<Exact, CaseProblem> {
    let acquired = c.case.vehicle.kit.iter().find(|k| k.item == price.item).map(|k| k.acquired);
    let on = return_day(c);
    let share = inventory_rule::value_share(price, acquired, on).map_err(|e| exact(key, e))?;
    words.push(c.w.value_on_the_day(price, acquired, on, share));
    Ok(share)
}

fn return_day(c: &Context<'_>) -> Date {
    let back = &c.case.return_;
    let at = back.handed_over_at.or(back.signed_at).unwrap_or(back.started_at);
    c.case.depot.zone.date(at)
}
