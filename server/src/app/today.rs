//! Everything a device needs to work through today and tomorrow without a connection.

use super::hires::day_ends;
use super::inspections::view;
use super::open_walk::Walk;
use super::view::{Today, TodayHire};
use super::{App, Caller, PageAsk, Refusal, walkround};
use crate::store::hire::{Due, Wanted};
use crate::store::record::{Hire, RegisterState};
use crate::store::{StoreError, Tx, hire, inspection, mark, tariff, template, vehicle};
use handsel_domain::ids::{DepotId, InspectionId};
use handsel_domain::policy::Action;
use handsel_domain::template::Template;
use handsel_domain::text::Lang;
use std::collections::BTreeSet;

/// Days ahead that are pulled.
const AHEAD: u64 = 1;

/// Hires that go out or come back until tomorrow ends at their depot, also those that are overdue.
pub async fn read(app: &App, caller: &Caller, depot: Option<DepotId>, lang: Lang) -> Result<Today, Refusal> {
    caller.must(Action::ReadHires)?;
    let now = app.effects.now();
    let tx = app.store.read().await?;
    let ends = day_ends(&tx, caller.scope, None, now, AHEAD).await?;
    let ask = PageAsk::new(Some(200), None)?;
    let mut hires = Vec::new();
    for due in [Due::Departures(ends.clone()), Due::Returns(ends)] {
        let wanted = Wanted { depot, due: Some(due), ..Wanted::default() };
        hires.extend(hire::list(&tx, caller.scope, &wanted, &ask).await?.items);
    }
    let named: BTreeSet<_> = hires.iter().map(|h| h.tariff).collect();
    let mut tariffs = Vec::with_capacity(named.len());
    for id in named {
        tariffs.extend(tariff::find(&tx, id).await?);
    }
    let mut items = Vec::with_capacity(hires.len());
    for hire in hires {
        items.push(item(&tx, caller, hire, lang).await?);
    }
    Ok(Today { at: now, hires: items, tariffs })
}

async fn item(tx: &Tx, caller: &Caller, hire: Hire, lang: Lang) -> Result<TodayHire, Refusal> {
    let vehicle = vehicle::of_hire(tx, &hire).await?;
    let departure = walk(tx, caller, hire.departure).await?;
    let back = walk(tx, caller, hire.return_).await?;
    let template = match back.as_ref().or(departure.as_ref()) {
        Some(walk) => walk.asked.clone(),
        None => asked(tx, &vehicle).await?,
    };
    // What can be looked at again: at return what was open when it went out, else what is open now.
    let frozen = match hire.departure {
        Some(id) => inspection::known(tx, id).await?.and_then(|head| head.register),
        None => None,
    };
    let register = match frozen {
        Some(register) => register,
        None => {
            let register = mark::register(tx, hire.vehicle).await?;
            register.into_iter().filter(|m| m.state == RegisterState::Open).map(|m| m.mark).collect()
        }
    };
    let departure = match departure {
        Some(walk) => Some(view(tx, &walk, lang).await?),
        None => None,
    };
    let return_ = match back {
        Some(walk) => Some(view(tx, &walk, lang).await?),
        None => None,
    };
    Ok(TodayHire { vehicle, template, register, departure, return_, hire })
}

async fn walk(tx: &Tx, caller: &Caller, id: Option<InspectionId>) -> Result<Option<Walk>, Refusal> {
    match id {
        Some(id) => Ok(Some(Walk::read(tx, caller, id).await?)),
        None => Ok(None),
    }
}

/// What would be asked of a vehicle, were its departure started now.
async fn asked(tx: &Tx, vehicle: &crate::store::record::Vehicle) -> Result<Template, Refusal> {
    let lacks = || StoreError::Damaged(format!("vehicle {} has no template", vehicle.id));
    let template = template::find(tx, vehicle.template).await?.ok_or_else(lacks)?;
    Ok(walkround::asked(&template, &vehicle.fitted()))
}
