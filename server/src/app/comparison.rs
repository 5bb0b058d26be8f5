use super::check::pointer;
use super::hires::reached;
use super::{App, Caller, Code, Fault, Refusal, case as document};
use crate::store::Tx;
use crate::store::record::Hire;
use handsel_domain::case::Case;
use handsel_domain::charges::Comparison;
use handsel_domain::comparison::compare;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::HireId;
use handsel_domain::money::Money;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;

/// The whole case in one document.
pub async fn case(app: &App, caller: &Caller, id: HireId) -> Result<Case, Refusal> {
    caller.must(Action::ReadComparison)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    document::build(&tx, &hire).await
}

/// What changed, and what is proposed for it.
pub async fn read(app: &App, caller: &Caller, id: HireId, lang: Lang) -> Result<Comparison, Refusal> {
    caller.must(Action::ReadComparison)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    reckon(&tx, &hire, lang).await
}

pub(super) async fn reckon(tx: &Tx, hire: &Hire, lang: Lang) -> Result<Comparison, Refusal> {
    let case = document::build(tx, hire).await?;
    of(&case, lang)
}

pub(super) fn of(case: &Case, lang: Lang) -> Result<Comparison, Refusal> {
    compare(case, lang).map_err(|problems| {
        let faults = problems.into_iter().map(|p| Fault::new(pointer(&p.path), p.message)).collect();
        Refusal::new(Code::CaseInvalid, "What was recorded cannot be compared; see errors for what to put right.")
            .with(faults)
    })
}

/// The case of a hire that came back, and what it comes to; none before.
pub(super) async fn back(tx: &Tx, hire: &Hire) -> Result<Option<(Case, Comparison)>, Refusal> {
    match hire.status {
        HireStatus::Returned | HireStatus::Settled => {
            let case = document::build(tx, hire).await?;
            let compared = of(&case, Lang::En)?;
            Ok(Some((case, compared)))
        }
        HireStatus::Booked | HireStatus::Out | HireStatus::Cancelled => Ok(None),
    }
}

/// What accepted and adjusted lines come to; nothing before the vehicle came back.
pub(super) fn charged(hire: &Hire, back: Option<&(Case, Comparison)>) -> Money {
    back.map_or_else(|| Money::zero(hire.deposit.currency), |(_, compared)| compared.totals.charged)
}
