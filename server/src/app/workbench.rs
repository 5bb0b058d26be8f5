//! The office's workbench: returns that wait for a decision, and card holds that are about to lapse.

use super::house::days;
use super::view::{Block, HoldState, LapsingHold, Waiting, WorkbenchSummary};
use super::{App, Caller, Page, PageAsk, Refusal, standing as standings};
use crate::store::record::{Hire, Standing};
use crate::store::standing::{self, Blocked};
use crate::store::{StoreError, Tx, hire};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::DepotId;
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;

/// How many hires are caught up with in one transaction.
const BATCH: u64 = 100;

/// A page of what waits, the oldest promise first.
pub async fn waiting(
    app: &App,
    caller: &Caller,
    depot: Option<DepotId>,
    blocked: Option<Blocked>,
    ask: &PageAsk,
) -> Result<Page<Waiting>, Refusal> {
    caller.must(Action::ReadWorkbench)?;
    let now = app.effects.now();
    let tx = app.store.read().await?;
    let page = standing::waiting(&tx, caller.scope, depot, blocked, ask).await?;
    let hires = hires_of(&tx, caller, &page.items).await?;
    let items = page.items.into_iter().zip(hires);
    let items = items.map(|(standing, hire)| row(app, standing, hire, now)).collect();
    Ok(Page { items, next: page.next })
}

/// How much there is to do.
pub async fn summary(app: &App, caller: &Caller) -> Result<WorkbenchSummary, Refusal> {
    caller.must(Action::ReadWorkbench)?;
    let now = app.effects.now();
    let tx = app.store.read().await?;
    let (waiting, overdue) = standing::count(&tx, caller.scope, now).await?;
    let lapsing = lapsing_soon(app, &tx, caller, now).await?;
    let hires = hires_of(&tx, caller, &lapsing).await?;
    let holds = lapsing.into_iter().zip(hires).filter_map(|(standing, hire)| {
        Some(LapsingHold {
            hire: hire.id,
            reference: hire.reference,
            status: hire.status,
            vehicle_name: hire.vehicle_name,
            held: standing.held_card,
            ends_at: standing.hold_ends_at?,
            state: hold_state(app, standing.hold_ends_at, now),
        })
    });
    Ok(WorkbenchSummary { waiting, overdue, holds: holds.collect(), hold_warning_days: app.house.hold_warning_days })
}

async fn lapsing_soon(app: &App, tx: &Tx, caller: &Caller, now: Instant) -> Result<Vec<Standing>, Refusal> {
    let before = now.plus_seconds(days(app.house.hold_warning_days));
    Ok(standing::lapsing(tx, caller.scope, before).await?)
}

async fn hires_of(tx: &Tx, caller: &Caller, of: &[Standing]) -> Result<Vec<Hire>, Refusal> {
    let ids: Vec<_> = of.iter().map(|s| s.hire).collect();
    Ok(hire::each(tx, caller.scope, &ids).await?)
}

fn hold_state(app: &App, ends_at: Option<Instant>, now: Instant) -> HoldState {
    match ends_at {
        None => HoldState::None,
        Some(end) if end <= now => HoldState::Lapsed,
        Some(end) if end <= now.plus_seconds(days(app.house.hold_warning_days)) => HoldState::LapsesSoon,
        Some(_) => HoldState::Stands,
    }
}

fn row(app: &App, standing: Standing, hire: Hire, now: Instant) -> Waiting {
    let blocks = blocks(&standing, hire.status);
    Waiting {
        hire: hire.id,
        depot: hire.depot,
        hirer: hire.hirer().map(|d| d.name.clone()).unwrap_or_default(),
        reference: hire.reference,
        status: hire.status,
        vehicle_name: hire.vehicle_name,
        vehicle_registration: hire.vehicle_registration,
        zone: hire.zone,
        returned_at: hire.returned_at,
        overdue: standing.promised_at.is_some_and(|p| p < now),
        hold: hold_state(app, standing.hold_ends_at, now),
        blocks,
        standing,
    }
}

/// What stands between a hire and its closed settlement, in the order it is dealt with.
fn blocks(standing: &Standing, status: HireStatus) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut add = |holds: bool, block| {
        if holds {
            blocks.push(block);
        }
    };
    add(standing.open_disputes > 0, Block::Disputed);
    add(standing.held_lines > 0, Block::Held);
    add(standing.open_estimates > 0, Block::EstimateMissing);
    add(standing.open_lines > standing.held_lines + standing.open_estimates, Block::Undecided);
    add(!standing.held.is_zero() && standing.open_lines == 0, Block::MoneyHeld);
    add(standing.outstanding.minor > 0 && standing.open_lines == 0, Block::MoneyOwed);
    add(standing.outstanding.is_negative(), Block::MoneyToRepay);
    if blocks.is_empty() && status == HireStatus::Returned {
        blocks.push(Block::ReadyToClose);
    }
    blocks
}

/// Reckons hires that were there before the workbench was; gives how many.
pub async fn catch_up(app: &App) -> Result<u64, Refusal> {
    let mut done = 0;
    loop {
        let tx = app.store.write().await?;
        let ids = standing::missing(&tx, BATCH).await?;
        let mut reckoned = 0;
        for id in ids {
            let (hire, _) = hire::known(&tx, id)
                .await?
                .ok_or_else(|| StoreError::Damaged(format!("hire {id} is listed and not there")))?;
            standings::reckon(app, &tx, &hire).await?;
            reckoned += 1;
        }
        tx.commit().await?;
        if reckoned == 0 {
            return Ok(done);
        }
        done += reckoned;
    }
}
