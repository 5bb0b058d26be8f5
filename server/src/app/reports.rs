//! What a period of returns comes to.

use super::{App, Caller, Refusal};
use crate::store::standing::{self, Back};
use crate::store::{contest, depot, hire, staff};
use handsel_documents::tables::{csv, tables, workbook as book};
use handsel_domain::ids::{DepotId, HireId};
use handsel_domain::money::Currency;
use handsel_domain::policy::Action;
use handsel_domain::report::{Report, Told, report};
use handsel_domain::text::Lang;
use handsel_domain::time::{Date, Instant};
use std::collections::BTreeMap;

/// Returns of one report.
const MOST_RETURNS: u64 = 20_000;

/// A report, and the names of who signed departures with missed topics.
#[derive(Clone, Debug)]
pub struct Reported {
    pub report: Report,
    pub staff: BTreeMap<handsel_domain::ids::StaffId, String>,
}

/// Reports on returns from one day to another, both included, by each depot's own calendar; in one currency.
pub async fn read(
    app: &App,
    caller: &Caller,
    (from, to): (Date, Date),
    of: Option<DepotId>,
    currency: Currency,
) -> Result<Reported, Refusal> {
    caller.must(Action::ReadReports)?;
    let days = (to.0 - from.0).num_days();
    if !(0..=3660).contains(&days) {
        return Err(Refusal::value("to", "must be the first day or later, ten years at most"));
    }
    let tx = app.store.read().await?;
    let mut backs: Vec<(HireId, Back)> = Vec::new();
    for depot in depot::all(&tx, caller.scope).await?.into_iter().filter(|d| of.is_none_or(|id| id == d.id)) {
        let midnight = |day: Date| depot.zone.instant(day.0.and_time(chrono::NaiveTime::MIN));
        let end = to.0.succ_opt().map(|next| midnight(Date(next)));
        let period = (midnight(from), end.unwrap_or_else(|| midnight(to)));
        backs.extend(standing::returned(&tx, caller.scope, Some(depot.id), period, MOST_RETURNS).await?);
    }
    let ids: Vec<HireId> = backs.iter().map(|(id, _)| *id).collect();
    let mut settled: BTreeMap<HireId, Option<Instant>> = BTreeMap::new();
    let mut disputes: BTreeMap<HireId, Vec<_>> = BTreeMap::new();
    for some in ids.chunks(500) {
        settled.extend(hire::settled(&tx, some).await?);
        for (hire, outcome) in contest::outcomes(&tx, some).await? {
            disputes.entry(hire).or_default().push(outcome);
        }
    }
    let told: Vec<Told> = backs
        .into_iter()
        .map(|(id, back)| Told {
            facts: back.facts,
            returned_at: back.returned_at,
            settled_at: settled.get(&id).copied().flatten(),
            disputes: disputes.remove(&id).unwrap_or_default(),
        })
        .collect();
    let report = report(currency, &told).map_err(Refusal::internal)?;
    let staff = staff::names(&tx, report.missed.iter().filter_map(|m| m.staff)).await?;
    Ok(Reported { report, staff: staff.into_iter().collect() })
}

/// One table as CSV, with its name.
pub fn table(of: &Reported, name: &str, lang: Lang) -> Result<(&'static str, Vec<u8>), Refusal> {
    let all = tables(&of.report, &of.staff, lang);
    let found = all.iter().find(|t| t.name == name).ok_or_else(|| Refusal::not_found("table"))?;
    Ok((found.name, csv(found).map_err(Refusal::internal)?))
}

/// All tables as one workbook.
pub fn workbook(of: &Reported, lang: Lang) -> Result<Vec<u8>, Refusal> {
    book(&tables(&of.report, &of.staff, lang)).map_err(Refusal::internal)
}
