//! What holds for every hire that is agreed.

use super::check::{Checks, is_email};
use super::{Caller, Code, Refusal};
use crate::store::record::{Driver, Hire};
use crate::store::{Tx, depot, tariff, vehicle};
use handsel_domain::deposit::Means;
use handsel_domain::hire::{HireStatus, WrongState};

/// Checks what was agreed, and that everything it names is there and within the caller's reach.
pub(super) async fn check(tx: &Tx, caller: &Caller, hire: &Hire) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    checks.line("/reference", &hire.reference);
    let ends_later = hire.agreed_return > hire.agreed_departure;
    checks.require(ends_later, "/agreed_return", "must lie after the agreed departure");
    checks.require(!hire.excess.is_negative(), "/excess/minor", "cannot be negative");
    checks.require(!hire.deposit.is_negative(), "/deposit/minor", "cannot be negative");
    checks.require(hire.deposit_means != Means::None, "/deposit_means", "must be card, cash or transfer");
    let leads = hire.drivers.iter().filter(|d| d.lead).count();
    checks.require(leads <= 1, "/drivers", "only one driver is the hirer: set lead on one");
    for (index, driver) in hire.drivers.iter().enumerate() {
        check_driver(&mut checks, driver, &format!("/drivers/{index}"));
        let first = hire.drivers.iter().position(|d| d.id == driver.id) == Some(index);
        checks.require(first, &format!("/drivers/{index}/id"), "names a driver a second time");
    }
    let reached = depot::find(tx, caller.scope, hire.depot).await?.is_some();
    checks.require(reached, "/depot", "must be a depot that you reach");
    match vehicle::find(tx, caller.scope, hire.vehicle).await? {
        None => checks.require(false, "/vehicle", "must be a vehicle that you reach"),
        Some(found) => checks.require(found.active, "/vehicle", "this vehicle is no longer hired out"),
    }
    match tariff::find(tx, hire.tariff).await? {
        None => checks.require(false, "/tariff", "there is no such tariff"),
        Some(tariff) => {
            let code = tariff.currency.code();
            let advice = format!("must be in the tariff's currency {code}");
            checks.require(hire.excess.currency == tariff.currency, "/excess/currency", advice.clone());
            checks.require(hire.deposit.currency == tariff.currency, "/deposit/currency", advice);
        }
    }
    checks.done()
}

pub(super) fn check_driver(checks: &mut Checks, driver: &Driver, at: &str) {
    checks.line(&format!("{at}/name"), &driver.name);
    let mail = driver.email.is_empty() || is_email(&driver.email);
    checks.require(mail, &format!("{at}/email"), "must be an address such as kim@hirer.example, or empty");
    checks.may(&format!("{at}/email"), &driver.email);
    checks.may(&format!("{at}/phone"), &driver.phone);
}

/// The hire is not at the point this needs.
pub(super) fn wrong_state(is: HireStatus, wanted: &str) -> Refusal {
    let is = format!("{is:?}").to_lowercase();
    Refusal::new(Code::HireState, format!("The hire is {is}; this is done with one that is {wanted}."))
        .and("hire_status", is)
}

impl From<WrongState> for Refusal {
    fn from(wrong: WrongState) -> Self {
        wrong_state(wrong.is, &format!("{:?}", wrong.wanted).to_lowercase())
    }
}

pub(super) fn reference_taken() -> Refusal {
    Refusal::new(Code::ReferenceTaken, "Another hire has this reference: check it, or open that hire.")
}
