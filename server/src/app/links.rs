//! Links by which hirers read their own hire, as staff make them and take them back.

use super::hires::{locked, reached};
use super::house::days;
use super::input::NewLink;
use super::once::id_taken;
use super::view::LinkMade;
use super::{App, Caller, Refusal, postroom};
use crate::store::link;
use crate::store::record::Link;
use handsel_domain::ids::{HireId, LinkId};
use handsel_domain::policy::Action;

/// The links of a hire, newest first, without their addresses.
pub async fn list(app: &App, caller: &Caller, of: HireId) -> Result<Vec<Link>, Refusal> {
    caller.must(Action::ShareLinks)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, of).await?;
    Ok(link::of_hire(&tx, of).await?)
}

/// Makes a link, or tells the address of one that was made with this id.
pub async fn make(app: &App, caller: &Caller, of: HireId, asked: NewLink) -> Result<LinkMade, Refusal> {
    caller.must(Action::ShareLinks)?;
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let hire = locked(&tx, caller, of).await?;
    let recipient =
        hire.hirer().map(|d| d.email.clone()).filter(|e| asked.mail && !e.is_empty() && app.outside.smtp.is_some());
    let known = link::known(&tx, asked.id).await?;
    let fresh = known.is_none();
    let kept = match known {
        Some(known) if known.hire == of && known.lang == asked.lang => known,
        Some(_) => return Err(id_taken("link")),
        None => Link {
            id: asked.id,
            hire: of,
            lang: asked.lang,
            issued_at: now,
            issued_by: caller.staff,
            expires_at: now.plus_seconds(days(app.house.link_days)),
            revoked_at: None,
            revoked_by: None,
            opened_at: None,
        },
    };
    let address = address(app, &kept)?;
    if fresh {
        link::insert(&tx, &kept).await?;
        if let Some(to) = &recipient {
            postroom::invite(app, &tx, &hire, &kept, &address, to).await?;
        }
    }
    tx.commit().await?;
    app.post.notify_one();
    Ok(LinkMade { link: kept, address, mailed_to: recipient })
}

/// What the link leads to. The token stands behind `#`: a browser keeps that part to itself, so that it comes into no
/// server's log.
pub(super) fn address(app: &App, link: &Link) -> Result<String, Refusal> {
    let token = app.tokens.link(link.id, link.issued_at, link.expires_at)?;
    Ok(format!("{}/own#{token}", app.house.public_url))
}

/// Takes a link back: it opens nothing from now on.
pub async fn revoke(app: &App, caller: &Caller, of: HireId, id: LinkId) -> Result<Vec<Link>, Refusal> {
    caller.must(Action::ShareLinks)?;
    let tx = app.store.write().await?;
    locked(&tx, caller, of).await?;
    if link::known(&tx, id).await?.is_none_or(|l| l.hire != of) {
        return Err(Refusal::not_found("link"));
    }
    link::revoke(&tx, id, caller.staff, app.effects.now()).await?;
    let links = link::of_hire(&tx, of).await?;
    tx.commit().await?;
    Ok(links)
}
