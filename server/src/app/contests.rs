//! Disputes, as staff see and answer them.

use super::check::Checks;
use super::copies::{self, Form, Served, Size};
use super::hire_rules::wrong_state;
use super::hires::{locked, reached};
use super::input::DisputeAnswer;
use super::photos::kept_copy;
use super::view::DisputeView;
use super::{App, Caller, Code, Refusal, comparison, postroom, standing};
use crate::store::record::{Contest, Hire, NoticeKind};
use crate::store::{Tx, contest, staff};
use handsel_domain::case::Decision;
use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DisputeId, HireId, PhotoId, StaffId};
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use std::collections::BTreeMap;

/// Every dispute of a hire, oldest first.
pub async fn list(app: &App, caller: &Caller, id: HireId, lang: Lang) -> Result<Vec<DisputeView>, Refusal> {
    caller.must(Action::ReadComparison)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    views(&tx, &hire, contest::of_hire(&tx, id).await?, lang).await
}

async fn views(tx: &Tx, hire: &Hire, contests: Vec<Contest>, lang: Lang) -> Result<Vec<DisputeView>, Refusal> {
    if contests.is_empty() {
        return Ok(Vec::new());
    }
    let compared = comparison::reckon(tx, hire, lang).await?;
    let titles: BTreeMap<String, String> = compared.lines.into_iter().map(|l| (l.key, l.title)).collect();
    let names = staff::names(tx, contests.iter().filter_map(|c| c.answered_by)).await?;
    let views = contests.into_iter().map(|dispute| DisputeView {
        title: titles.get(&dispute.line).cloned().unwrap_or_else(|| dispute.line.clone()),
        answered_by_name: dispute.answered_by.and_then(|by| names.get(&by).cloned()).unwrap_or_default(),
        dispute,
    });
    Ok(views.collect())
}

/// Open disputes of a line that a decision answers.
pub(super) async fn open_on(tx: &Tx, hire: HireId, line: &str) -> Result<Vec<Contest>, Refusal> {
    let all = contest::of_hire(tx, hire).await?;
    Ok(all.into_iter().filter(|c| c.is_open() && !c.after_settlement && c.line == line).collect())
}

/// A decision was taken on a disputed line: it answers the dispute, unless it holds on.
pub(super) async fn decided(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    disputed: Vec<Contest>,
    decision: &Decision,
) -> Result<(), Refusal> {
    for dispute in disputed {
        let lowered = decision.amount.is_some_and(|a| a.minor < dispute.amount.minor);
        if let Some(outcome) = DisputeOutcome::of(decision.verdict, lowered) {
            let words = decision.reason.as_deref().unwrap_or_default();
            close(app, tx, hire, &dispute, outcome, words, decision.by).await?;
        }
    }
    Ok(())
}

/// Answers a dispute that was raised after the settlement was closed. Money follows by a further movement.
pub async fn answer(
    app: &App,
    caller: &Caller,
    of: HireId,
    id: DisputeId,
    asked: DisputeAnswer,
    lang: Lang,
) -> Result<Vec<DisputeView>, Refusal> {
    caller.must(Action::AnswerDisputes)?;
    let mut checks = Checks::default();
    checks.words("/words", &asked.words);
    checks.done()?;
    let tx = app.store.write().await?;
    let hire = locked(&tx, caller, of).await?;
    let known = contest::known(&tx, id).await?.filter(|c| c.hire == of);
    let known = known.ok_or_else(|| Refusal::not_found("dispute"))?;
    if known.is_open() {
        let withdrawn = asked.outcome == DisputeOutcome::Withdrawn;
        if !known.after_settlement && !withdrawn {
            return Err(Refusal::new(
                Code::DisputeRefused,
                "The settlement is still open: decide the disputed line, and the dispute is answered with it.",
            )
            .and("line", &known.line));
        }
        if known.after_settlement && hire.status != HireStatus::Settled {
            return Err(wrong_state(hire.status, "settled"));
        }
        close(app, &tx, &hire, &known, asked.outcome, &asked.words, Some(caller.staff)).await?;
        standing::reckon(app, &tx, &hire).await?;
    } else if known.outcome != Some(asked.outcome) || known.answer.as_deref() != Some(asked.words.as_str()) {
        return Err(Refusal::new(Code::DisputeRefused, "This dispute was answered before; an answer stands."));
    }
    let shown = views(&tx, &hire, contest::of_hire(&tx, of).await?, lang).await?;
    tx.commit().await?;
    app.post.notify_one();
    Ok(shown)
}

async fn close(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    dispute: &Contest,
    outcome: DisputeOutcome,
    words: &str,
    by: Option<StaffId>,
) -> Result<(), Refusal> {
    if !contest::answer(tx, dispute.id, outcome, words, by, app.effects.now()).await? {
        return Ok(());
    }
    let told = serde_json::json!({ "dispute": dispute.id, "line": dispute.line, "outcome": outcome });
    postroom::announce(app, tx, hire.id, NoticeKind::DisputeAnswered, &told).await?;
    postroom::dispute_answered(app, tx, hire, dispute, outcome, words).await
}

/// A photograph that came with a dispute of this hire.
pub async fn photo(
    app: &App,
    caller: &Caller,
    of: HireId,
    id: PhotoId,
    size: Size,
    form: Form,
) -> Result<(Served, Vec<u8>), Refusal> {
    caller.must(Action::ReadComparison)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, of).await?;
    let photo = contest::known_photo(&tx, id).await?.filter(|p| p.hire == of);
    let photo = photo.ok_or_else(|| Refusal::not_found("photograph"))?;
    drop(tx);
    Ok((copies::copy(&photo.sha256, size, form)?, kept_copy(app, &photo.sha256, size, form).await?))
}
