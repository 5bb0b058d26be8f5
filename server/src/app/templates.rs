use super::check::pointer;
use super::once::{Made, id_taken, taken};
use super::view::TemplateSummary;
use super::{App, Caller, Code, Fault, Page, PageAsk, Refusal};
use crate::store::template;
use handsel_domain::ids::TemplateId;
use handsel_domain::policy::Action;
use handsel_domain::template::Template;
use std::convert::Infallible;

pub async fn list(app: &App, caller: &Caller, ask: &PageAsk) -> Result<Page<TemplateSummary>, Refusal> {
    caller.must(Action::ReadTemplates)?;
    let tx = app.store.read().await?;
    let used = template::used(&tx).await?;
    let found = template::list(&tx, ask).await?.try_map(|t| {
        let frozen = used.contains(&t.id);
        Ok::<_, Infallible>(TemplateSummary { id: t.id, layout: t.layout, version: t.version, title: t.title, frozen })
    });
    match found {
        Ok(page) => Ok(page),
        Err(never) => match never {},
    }
}

pub async fn read(app: &App, caller: &Caller, id: TemplateId) -> Result<Template, Refusal> {
    caller.must(Action::ReadTemplates)?;
    let tx = app.store.read().await?;
    template::find(&tx, id).await?.ok_or_else(|| Refusal::not_found("template"))
}

pub async fn create(app: &App, caller: &Caller, asked: Template) -> Result<Made<Template>, Refusal> {
    caller.must(Action::WriteTemplates)?;
    check(&asked)?;
    let tx = app.store.write().await?;
    if let Some(known) = template::find(&tx, asked.id).await? {
        return if known == asked { Ok(Made::known(known)) } else { Err(id_taken("template")) };
    }
    let next = template::latest(&tx, &asked.layout).await? + 1;
    if asked.version != next {
        return Err(out_of_turn("layout", &asked.layout, next));
    }
    let turn = || out_of_turn("layout", &asked.layout, next + 1);
    template::insert(&tx, &asked).await.map_err(|e| taken(e, "template", "layout", turn))?;
    tx.commit().await?;
    Ok(Made::new(asked))
}

pub async fn replace(app: &App, caller: &Caller, id: TemplateId, asked: Template) -> Result<Template, Refusal> {
    caller.must(Action::WriteTemplates)?;
    let tx = app.store.write().await?;
    let known = template::find(&tx, id).await?.ok_or_else(|| Refusal::not_found("template"))?;
    if known == asked {
        return Ok(known);
    }
    if template::in_use(&tx, id).await? {
        return Err(Refusal::new(
            Code::TemplateFrozen,
            "An inspection uses this version, so it never changes again: add the next version instead.",
        ));
    }
    let same = asked.id == id && asked.layout == known.layout && asked.version == known.version;
    if !same {
        return Err(Refusal::value("/id", "id, layout and version stay as they are: add a version to change them"));
    }
    check(&asked)?;
    template::replace(&tx, &asked).await?;
    tx.commit().await?;
    Ok(asked)
}

fn check(template: &Template) -> Result<(), Refusal> {
    let faults: Vec<Fault> = template.problems().into_iter().map(|p| Fault::new(pointer(&p.at), p.advice)).collect();
    if faults.is_empty() {
        return Ok(());
    }
    Err(Refusal::new(Code::TemplateInvalid, "The template does not hold together; see errors.").with(faults))
}

pub(super) fn out_of_turn(of: &str, name: &str, next: u32) -> Refusal {
    Refusal::new(Code::VersionOutOfTurn, format!("The next version of {of} `{name}` is {next}: give it that number."))
        .and("next", next)
}
