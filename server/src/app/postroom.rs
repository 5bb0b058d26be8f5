//! Letters to hirers and notices to another program. They are written in the transaction of what they tell, and sent
//! by a worker: a mail server that is down for a day loses nothing.

use super::house::days;
use super::workshop::finish;
use super::{App, Refusal, comparison};
use crate::jobs::Taken;
use crate::outside::Mail;
use crate::store::record::{Contest, Hire, Letter, LetterKind, Link, Notice, NoticeKind};
use crate::store::{Tx, link, post};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use handsel_documents::letters::{About, Concerning, letter as compose};
use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;
use handsel_domain::time::{Instant, Zone};
use serde::Serialize;
use serde_json::json;
use sha2::{Digest, Sha256};

/// A letter with the link to their own hire.
pub(super) async fn invite(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    to: &Link,
    address: &str,
    recipient: &str,
) -> Result<(), Refusal> {
    let until = day(hire.zone, to.expires_at, to.lang);
    write(app, tx, hire, recipient, LetterKind::Link, About::Link { address, until: &until }, to.lang).await
}

pub(super) async fn dispute_received(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    dispute: &Contest,
    lang: Lang,
) -> Result<(), Refusal> {
    let Some(to) = recipient(app, hire) else { return Ok(()) };
    let title = title(tx, hire, &dispute.line, lang).await?;
    let about = About::DisputeReceived { title: &title, words: &dispute.words, amount: dispute.amount };
    write(app, tx, hire, to, LetterKind::DisputeReceived, about, lang).await
}

pub(super) async fn dispute_answered(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    dispute: &Contest,
    outcome: DisputeOutcome,
    answer: &str,
) -> Result<(), Refusal> {
    let Some(to) = recipient(app, hire) else { return Ok(()) };
    let lang = link::known(tx, dispute.link).await?.map(|l| l.lang).unwrap_or_default();
    let title = title(tx, hire, &dispute.line, lang).await?;
    let about = About::DisputeAnswered { title: &title, outcome, answer };
    write(app, tx, hire, to, LetterKind::DisputeAnswered, about, lang).await
}

/// The settlement was closed. Written to those who were sent a link: the statement is read through it.
pub(super) async fn settled(app: &App, tx: &Tx, hire: &Hire) -> Result<(), Refusal> {
    let Some(to) = recipient(app, hire) else { return Ok(()) };
    let links = link::of_hire(tx, hire.id).await?;
    let Some(open) = links.iter().find(|l| l.revoked_at.is_none()) else { return Ok(()) };
    let charged = comparison::reckon(tx, hire, open.lang).await?.totals.charged;
    let until = app.effects.now().plus_seconds(days(app.house.dispute_days));
    let about = About::Settled { charged, dispute_until: &day(hire.zone, until, open.lang) };
    write(app, tx, hire, to, LetterKind::Settled, about, open.lang).await
}

/// Whom to write to, where there is a mail server to write through.
fn recipient<'a>(app: &App, hire: &'a Hire) -> Option<&'a str> {
    let email = hire.hirer().map(|d| d.email.as_str()).filter(|e| !e.is_empty());
    email.filter(|_| app.outside.smtp.is_some())
}

fn day(zone: Zone, at: Instant, lang: Lang) -> String {
    let date = zone.date(at).0;
    match lang {
        Lang::En => date.format("%-d %B %Y").to_string(),
        Lang::De => date.format("%d.%m.%Y").to_string(),
    }
}

async fn title(tx: &Tx, hire: &Hire, line: &str, lang: Lang) -> Result<String, Refusal> {
    let compared = comparison::reckon(tx, hire, lang).await?;
    Ok(compared.lines.into_iter().find(|l| l.key == line).map_or_else(|| line.to_owned(), |l| l.title))
}

async fn write(
    app: &App,
    tx: &Tx,
    hire: &Hire,
    to: &str,
    kind: LetterKind,
    about: About<'_>,
    lang: Lang,
) -> Result<(), Refusal> {
    let of = Concerning {
        hirer: hire.hirer().map(|d| d.name.as_str()).unwrap_or_default(),
        reference: &hire.reference,
        vehicle: &hire.vehicle_name,
        operator: &app.operator.name,
        contact: &app.operator.contact,
    };
    let (subject, body) = compose(about, of, lang);
    let letter = Letter {
        id: app.effects.ids.next(),
        hire: hire.id,
        kind,
        recipient: to.to_owned(),
        subject,
        body,
        written_at: app.effects.now(),
        sent_at: None,
    };
    Ok(post::write(tx, &letter).await?)
}

/// Notes something that another program is to be told, where one is named.
pub(super) async fn announce<T: Serialize + Sync>(
    app: &App,
    tx: &Tx,
    hire: HireId,
    kind: NoticeKind,
    what: &T,
) -> Result<(), Refusal> {
    if app.outside.hook.is_none() {
        return Ok(());
    }
    let id = app.effects.ids.next();
    let at = app.effects.now();
    let body = json!({
        "format": "handsel-notice/1", "id": id, "at": at, "kind": kind, "hire": hire,
        "content": serde_json::to_value(what).map_err(Refusal::internal)?,
    });
    Ok(post::announce(tx, &Notice { id, hire, kind, body, at, delivered_at: None }).await?)
}

/// Sends a letter. One that was sent just before the server died is sent again, with the same Message-ID.
pub(super) async fn letter(app: &App, taken: Taken) -> Result<(), Refusal> {
    let known = post::letter(&app.store.read().await?, taken.job.subject).await?;
    let (Some(letter), Some(smtp)) = (known, &app.outside.smtp) else {
        // Erased meanwhile, or there is no longer a mail server to send it through.
        return finish(app.store.write().await?, taken).await;
    };
    if letter.sent_at.is_none() {
        let mail = Mail {
            id: letter.id.to_string(),
            to: &letter.recipient,
            subject: &letter.subject,
            body: &letter.body,
            date: letter.written_at.utc().into(),
        };
        smtp.send(mail).await.map_err(Refusal::internal)?;
    }
    let tx = app.store.write().await?;
    post::sent(&tx, letter.id, app.effects.now()).await?;
    finish(tx, taken).await
}

/// Tells another program. The body's digest is signed with the key of the seals (RFC 9421 and RFC 9530), so that
/// whoever is told can check who tells.
pub(super) async fn notice(app: &App, taken: Taken) -> Result<(), Refusal> {
    let known = post::notice(&app.store.read().await?, taken.job.subject).await?;
    let (Some(notice), Some(hook)) = (known, &app.outside.hook) else {
        return finish(app.store.write().await?, taken).await;
    };
    if notice.delivered_at.is_none() {
        let body = notice.body.to_string();
        let digest = format!("sha-256=:{}:", STANDARD.encode(Sha256::digest(&body)));
        let parameters = format!(
            "(\"content-digest\");created={};keyid=\"{}\";alg=\"ed25519\"",
            notice.at.utc().timestamp(),
            app.seal_key.id()
        );
        let base = format!("\"content-digest\": {digest}\n\"@signature-params\": {parameters}");
        let headers = [
            ("content-digest", digest),
            ("signature-input", format!("handsel={parameters}")),
            ("signature", format!("handsel=:{}:", app.seal_key.sign(base))),
        ];
        hook.post(body, &headers).await.map_err(Refusal::internal)?;
    }
    let tx = app.store.write().await?;
    post::delivered(&tx, notice.id, app.effects.now()).await?;
    finish(tx, taken).await
}
