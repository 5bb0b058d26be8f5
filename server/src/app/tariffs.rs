use super::check::{Checks, pointer};
use super::once::{Made, id_taken, taken};
use super::templates::out_of_turn;
use super::view::TariffSummary;
use super::{App, Caller, Code, Fault, Page, PageAsk, Refusal};
use crate::store::tariff;
use handsel_domain::ids::TariffId;
use handsel_domain::policy::Action;
use handsel_domain::tariff::Tariff;
use std::convert::Infallible;

pub async fn list(app: &App, caller: &Caller, ask: &PageAsk) -> Result<Page<TariffSummary>, Refusal> {
    caller.must(Action::ReadTariffs)?;
    let tx = app.store.read().await?;
    let found = tariff::list(&tx, ask).await?.try_map(|t| {
        Ok::<_, Infallible>(TariffSummary { id: t.id, name: t.name, version: t.version, currency: t.currency })
    });
    match found {
        Ok(page) => Ok(page),
        Err(never) => match never {},
    }
}

pub async fn read(app: &App, caller: &Caller, id: TariffId) -> Result<Tariff, Refusal> {
    caller.must(Action::ReadTariffs)?;
    let tx = app.store.read().await?;
    tariff::find(&tx, id).await?.ok_or_else(|| Refusal::not_found("tariff"))
}

pub async fn create(app: &App, caller: &Caller, asked: Tariff) -> Result<Made<Tariff>, Refusal> {
    caller.must(Action::WriteTariffs)?;
    let mut checks = Checks::default();
    checks.line("/name", &asked.name);
    checks.done()?;
    let faults: Vec<Fault> = asked.problems().into_iter().map(|p| Fault::new(pointer(&p.at), p.advice)).collect();
    if !faults.is_empty() {
        return Err(Refusal::new(Code::TariffInvalid, "The tariff does not hold together; see errors.").with(faults));
    }
    let tx = app.store.write().await?;
    if let Some(known) = tariff::find(&tx, asked.id).await? {
        return if known == asked { Ok(Made::known(known)) } else { Err(id_taken("tariff")) };
    }
    let next = tariff::latest(&tx, &asked.name).await? + 1;
    if asked.version != next {
        return Err(out_of_turn("tariff", &asked.name, next));
    }
    let turn = || out_of_turn("tariff", &asked.name, next + 1);
    tariff::insert(&tx, &asked).await.map_err(|e| taken(e, "tariff", "name", turn))?;
    tx.commit().await?;
    Ok(Made::new(asked))
}
