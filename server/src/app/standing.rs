//! Where the money of a hire stands. Reckoned in the transaction of whatever changes it.

use super::house::days;
use super::ledger::replay;
use super::{App, Refusal, comparison};
use crate::store::record::{Hire, Standing};
use crate::store::standing::{self, Back};
use crate::store::{Tx, contest, inspection, movement};
use handsel_domain::case::Case;
use handsel_domain::charges::{Comparison, Line, LineState};
use handsel_domain::deposit::holds_end;
use handsel_domain::hire::HireStatus;
use handsel_domain::money::Money;
use handsel_domain::report::Facts;

/// Reckons a hire anew, if there is anything to reckon, and writes where it stands.
pub(super) async fn reckon(app: &App, tx: &Tx, hire: &Hire) -> Result<(), Refusal> {
    let back = comparison::back(tx, hire).await?;
    reckoned(app, tx, hire, back.as_ref().map(|(case, compared)| (case, compared))).await
}

/// The same, of a comparison that was made already.
pub(super) async fn reckoned(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    back: Option<(&Case, &Comparison)>,
) -> Result<(), Refusal> {
    let compared = back.map(|(_, compared)| compared);
    let stored = movement::of_hire(tx, hire.id).await?;
    if compared.is_none() && stored.is_empty() {
        return Ok(());
    }
    let ledger = replay(hire, &stored)?;
    let none = Money::zero(hire.deposit.currency);
    let charged = compared.map_or(none, |c| c.totals.charged);
    let open = |of: fn(&Line) -> bool| match compared {
        Some(compared) => count(compared.lines.iter().filter(|l| l.state.is_open() && of(l))),
        None => Ok(0),
    };
    let disputes = contest::of_hire(tx, hire.id).await?;
    let held = ledger.balances().held;
    let open_disputes = count(disputes.iter().filter(|d| d.is_open()))?;
    let waiting = match hire.status {
        HireStatus::Returned => true,
        HireStatus::Cancelled => !held.is_zero(),
        HireStatus::Settled => open_disputes > 0,
        HireStatus::Booked | HireStatus::Out => false,
    };
    let since = hire.returned_at.or(hire.cancelled_at);
    let card = ledger.held_card();
    let now = Standing {
        hire: hire.id,
        depot: Some(hire.depot),
        waiting,
        promised_at: since.map(|at| at.plus_seconds(days(app.house.promise_days))),
        open_lines: open(|_| true)?,
        weak_lines: open(is_weak)?,
        held_lines: open(|l| matches!(l.state, LineState::Held | LineState::HeldForReview))?,
        open_estimates: open(|l| l.price.is_none())?,
        open_disputes,
        charged,
        undecided: compared.map_or(none, |c| c.totals.undecided),
        held,
        held_card: card,
        outstanding: ledger.outstanding(charged).map_err(Refusal::internal)?,
        hold_ends_at: if card.is_zero() { None } else { holds_end(stored.iter().map(|m| &m.movement)) },
    };
    let back = match (back, hire.returned_at) {
        (Some((case, compared)), Some(returned_at)) => {
            let signed_by = match hire.departure {
                Some(id) => inspection::known(tx, id).await?.and_then(|head| head.signed_by),
                None => None,
            };
            Some(Back { returned_at, facts: Facts::of(case, compared, signed_by) })
        }
        _ => None,
    };
    Ok(standing::put(tx, hire.depot, &now, back.as_ref(), app.effects.now()).await?)
}

/// Whether something speaks against a line: it is decided by itself, never with others.
pub(super) fn is_weak(line: &Line) -> bool {
    !line.weak_points.is_empty() || !line.weakened_by.is_empty()
}

fn count<T>(of: impl Iterator<Item = T>) -> Result<u32, Refusal> {
    u32::try_from(of.count()).map_err(Refusal::internal)
}
