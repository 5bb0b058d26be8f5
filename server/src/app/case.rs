//! One hire's departure, return and tariff in one document.

use super::hire_rules::wrong_state;
use super::open_walk::recorded;
use super::{Refusal, walkround};
use crate::store::record::{Hire, InspectionHead};
use crate::store::{Scope, StoreError, Tx, contest, decision, depot, inspection, tariff, template};
use handsel_domain::case::{Case, CaseDepot, FORMAT};
use handsel_domain::dispute::merged;
use handsel_domain::hire::HireStatus;
use handsel_domain::inspection::Leg;

/// The case of a hire that came back.
pub(super) async fn build(tx: &Tx, hire: &Hire) -> Result<Case, Refusal> {
    if !matches!(hire.status, HireStatus::Returned | HireStatus::Settled) {
        return Err(wrong_state(hire.status, "returned: sign the return first"));
    }
    let lacks = |what: &str| StoreError::Damaged(format!("hire {} has no {what}", hire.id));
    let departure = signed(tx, hire, Leg::Departure).await?;
    let return_ = signed(tx, hire, Leg::Return).await?;
    let template = template::find(tx, departure.template).await?.ok_or_else(|| lacks("template"))?;
    // The hire is within the caller's reach, and so is what it names.
    let depot = depot::find(tx, Scope::Depot(hire.depot), hire.depot).await?.ok_or_else(|| lacks("depot"))?;
    let contests = contest::of_hire(tx, hire.id).await?;
    let disputes = contests.iter().filter(|c| !c.after_settlement).map(|c| c.raised());
    let decisions = merged(decision::of_hire(tx, hire.id).await?, disputes);
    Ok(Case {
        format: FORMAT.to_owned(),
        depot: CaseDepot { name: depot.name, zone: depot.zone },
        template: walkround::of(&template, &departure.fitted),
        tariff: tariff::find(tx, hire.tariff).await?.ok_or_else(|| lacks("tariff"))?,
        hire: hire.agreed(),
        departure: recorded(tx, &departure).await?.settled(),
        return_: recorded(tx, &return_).await?.settled(),
        odometer_replacement: hire.odometer_replacement.clone(),
        decisions,
        vehicle: departure.fitted.vehicle,
        register: departure.register.unwrap_or_default(),
    })
}

async fn signed(tx: &Tx, hire: &Hire, leg: Leg) -> Result<InspectionHead, Refusal> {
    let head = inspection::of_hire(tx, hire.id, leg).await?.filter(|i| i.signed_at.is_some());
    Ok(head.ok_or_else(|| StoreError::Damaged(format!("hire {} came back without a signed {leg:?}", hire.id)))?)
}
