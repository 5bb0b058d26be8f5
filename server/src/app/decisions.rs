use super::hire_rules::wrong_state;
use super::hires::{locked, reached};
use super::input::NewDecision;
use super::once::{self, Idempotency, Replayed, id_taken};
use super::{App, Caller, Code, Refusal, case, comparison};
use crate::store::record::DecisionView;
use crate::store::{decision, staff};
use handsel_domain::case::Decision;
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
            case.decisions.push(decided);
        }
    }
    let compared = comparison::of(&case, lang)?;
    once::commit(tx, caller, &idempotency, &compared, None).await
}
