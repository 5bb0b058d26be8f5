use super::hire_rules::wrong_state;
use super::hires::{locked, reached};
use super::input::{Acceptances, NewDecision};
use super::once::{self, Idempotency, Replayed, id_taken};
use super::{App, Caller, Code, Fault, Refusal, case, comparison, contests, standing};
use crate::store::record::DecisionView;
use crate::store::{decision, staff};
use handsel_domain::case::{Decision, Verdict};
use handsel_domain::charges::LineState;
use handsel_domain::comparison::check_decision;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::HireId;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;

/// Every decision, oldest first.
pub async fn list(app: &App, caller: &Caller, id: HireId) -> Result<Vec<DecisionView>, Refusal> {
    caller.must(Action::ReadComparison)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, id).await?;
    let decisions = decision::of_hire(&tx, id).await?;
    let names = staff::names(&tx, decisions.iter().filter_map(|d| d.by)).await?;
    let named = decisions.into_iter().map(|decision| {
        let by_name = decision.by.and_then(|by| names.get(&by).cloned()).unwrap_or_default();
        DecisionView { decision, by_name }
    });
    Ok(named.collect())
}

/// Decides one proposed line; the answer is the comparison with the decision in it.
pub async fn decide(
    app: &App,
    caller: &Caller,
    id: HireId,
    idempotency: Idempotency,
    asked: NewDecision,
    lang: Lang,
) -> Result<Replayed, Refusal> {
    caller.must(Action::DecideLines)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    let hire = locked(&tx, caller, id).await?;
    if hire.status != HireStatus::Returned {
        return Err(wrong_state(hire.status, "returned"));
    }
    let decided = Decision {
        id: asked.id,
        line: asked.line,
        verdict: asked.verdict,
        amount: asked.amount,
        reason: asked.reason.filter(|r| !r.trim().is_empty()),
        by: Some(caller.staff),
        at: now,
    };
    let disputed = contests::open_on(&tx, id, &decided.line).await?;
    if !disputed.is_empty() && decided.reason.is_none() {
        return Err(Refusal::new(
            Code::DecisionRefused,
            format!("Of line `{}`: the hirer disputes it, so this decision needs a reason in words.", decided.line),
        )
        .and("reason", "reason_required"));
    }
    let mut case = case::build(&tx, &hire).await?;
    match decision::known(&tx, decided.id).await? {
        // Sent before with another key: it stands.
        Some((known, of)) if of == id && known == (Decision { at: known.at, ..decided.clone() }) => {}
        Some(_) => return Err(id_taken("decision")),
        None => {
            let compared = comparison::of(&case, lang)?;
            check_decision(&compared, &decided).map_err(|refused| {
                Refusal::new(Code::DecisionRefused, format!("Of line `{}`: {refused}.", decided.line))
                    .and("reason", refused.code())
            })?;
            decision::add(&tx, id, &decided, caller.staff).await?;
            case.decisions.push(decided.clone());
            contests::decided(app, &tx, &hire, disputed, &decided).await?;
        }
    }
    let compared = comparison::of(&case, lang)?;
    standing::reckoned(app, &tx, &hire, Some((&case, &compared))).await?;
    let answer = once::commit(tx, caller, &idempotency, &compared, None).await;
    app.post.notify_one();
    answer
}

/// Accepts several lines at once, all or none of them. Each must be one that nothing speaks against: the others are
/// looked at one by one.
pub async fn accept_several(
    app: &App,
    caller: &Caller,
    id: HireId,
    idempotency: Idempotency,
    asked: Acceptances,
    lang: Lang,
) -> Result<Replayed, Refusal> {
    caller.must(Action::DecideLines)?;
    let now = app.effects.now();
    if asked.lines.is_empty() {
        return Err(Refusal::value("/lines", "name at least one line"));
    }
    let tx = app.store.write().await?;
    if let Some(before) = once::claim(&tx, caller, &idempotency, now).await? {
        return Ok(before);
    }
    let hire = locked(&tx, caller, id).await?;
    if hire.status != HireStatus::Returned {
        return Err(wrong_state(hire.status, "returned"));
    }
    let mut case = case::build(&tx, &hire).await?;
    let compared = comparison::of(&case, lang)?;
    let mut faults = Vec::new();
    for (index, wanted) in asked.lines.iter().enumerate() {
        let pointer = format!("/lines/{index}/line");
        match compared.lines.iter().find(|l| l.key == wanted.line) {
            None => faults.push(Fault::new(pointer, "the comparison has no such line")),
            Some(line) if line.state != LineState::Proposed => {
                faults.push(Fault::new(pointer, "does not wait for a first decision: decide it by itself"));
            }
            Some(line) if standing::is_weak(line) => {
                faults.push(Fault::new(pointer, "has a weak point: look at it and decide it by itself"));
            }
            Some(_) => {}
        }
    }
    if !faults.is_empty() {
        return Err(Refusal::values(faults));
    }
    for wanted in asked.lines {
        if decision::known(&tx, wanted.id).await?.is_some() {
            return Err(id_taken("decision"));
        }
        let decided = Decision {
            id: wanted.id,
            line: wanted.line,
            verdict: Verdict::Accept,
            amount: None,
            reason: None,
            by: Some(caller.staff),
            at: now,
        };
        decision::add(&tx, id, &decided, caller.staff).await?;
        case.decisions.push(decided);
    }
    let compared = comparison::of(&case, lang)?;
    standing::reckoned(app, &tx, &hire, Some((&case, &compared))).await?;
    once::commit(tx, caller, &idempotency, &compared, None).await
}
