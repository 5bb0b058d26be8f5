//! What a hirer does with their link: read their own records and statement, and dispute a line.

use super::check::Checks;
use super::copies::{self, Form, Served, Size};
use super::house::days;
use super::input::NewDispute;
use super::once::id_taken;
use super::photos::{kept_copy, original_name};
use super::settlement::tell;
use super::view::{OwnDispute, OwnHire, OwnRecord, Statement};
use super::{App, Code, Refusal, comparison, postroom, standing};
use crate::store::record::{Contest, ContestPhoto, Hire, Link, NoticeKind};
use crate::store::{Scope, StoreError, Tx, contest, hire, inspection, link, photo, seal};
use handsel_domain::charges::{Line, LineState};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{InspectionId, PhotoId};
use handsel_domain::money::Money;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;

/// Photographs that may come with all disputes by one link.
const MOST_PHOTOS: usize = 20;
/// Disputes that may be raised on one hire.
const MOST_DISPUTES: usize = 100;

/// Somebody who followed a link that is good.
#[derive(Clone, Debug)]
pub struct Follower {
    pub link: Link,
}

/// Who follows a link, if it still leads anywhere.
pub async fn identify(app: &App, token: &str) -> Result<Follower, Refusal> {
    let now = app.effects.now();
    let id = app.tokens.read_link(token, now)?;
    let known = link::known(&app.store.read().await?, id).await?;
    let Some(link) = known.filter(|l| l.revoked_at.is_none()) else {
        return Err(Refusal::new(Code::LinkInvalid, "This link has been taken back. Ask the hire desk for another."));
    };
    if link.expires_at <= now {
        return Err(Refusal::new(Code::LinkExpired, "This link has run out. Ask the hire desk for another."));
    }
    Ok(Follower { link })
}

async fn own(tx: &Tx, follower: &Follower) -> Result<Hire, Refusal> {
    let id = follower.link.hire;
    // The link is the scope: it leads to this one hire.
    let found = hire::find(tx, Scope::All, id).await?;
    Ok(found.ok_or_else(|| StoreError::Damaged(format!("link {} leads to no hire", follower.link.id)))?)
}

/// Everything the link shows.
pub async fn read(app: &App, follower: &Follower, lang: Lang) -> Result<OwnHire, Refusal> {
    let now = app.effects.now();
    let tx = app.store.write().await?;
    link::opened(&tx, follower.link.id, now).await?;
    tx.commit().await?;
    let tx = app.store.read().await?;
    let hire = own(&tx, follower).await?;
    let mut records = Vec::new();
    for id in [hire.departure, hire.return_].into_iter().flatten() {
        let head = inspection::known(&tx, id).await?;
        if let Some((head, signed_at)) = head.and_then(|h| h.signed_at.map(|at| (h, at))) {
            let record_sha256 = seal::of(&tx, id).await?.map(|s| s.record_sha256);
            records.push(OwnRecord { inspection: id, leg: head.leg, signed_at, record_sha256 });
        }
    }
    let statement = match hire.status {
        HireStatus::Returned | HireStatus::Settled => Some(tell(app, &tx, &hire, lang).await?),
        HireStatus::Booked | HireStatus::Out | HireStatus::Cancelled => None,
    };
    let disputes = contest::of_hire(&tx, hire.id).await?;
    let until = dispute_until(app, &hire);
    Ok(OwnHire {
        hire: hire.id,
        operator: app.operator.clone(),
        hirer: hire.hirer().map(|d| d.name.clone()).unwrap_or_default(),
        vehicle: hire.vehicle_name.clone(),
        registration: hire.vehicle_registration.clone(),
        zone: hire.zone,
        lang: follower.link.lang,
        status: hire.status,
        agreed_departure: hire.agreed_departure,
        agreed_return: hire.due_back,
        returned_at: hire.returned_at,
        records,
        may_dispute: statement.is_some() && until.is_none_or(|u| now < u),
        statement,
        disputes: disputes.into_iter().map(OwnDispute::from).collect(),
        promised_at: hire.returned_at.map(|at| at.plus_seconds(days(app.house.promise_days))),
        dispute_until: until,
        link_expires_at: follower.link.expires_at,
        reference: hire.reference,
    })
}

fn dispute_until(app: &App, hire: &Hire) -> Option<Instant> {
    hire.settled_at.map(|at| at.plus_seconds(days(app.house.dispute_days)))
}

/// The statement by itself, as a page to read and print.
pub async fn statement(app: &App, follower: &Follower, lang: Lang) -> Result<Statement, Refusal> {
    let tx = app.store.read().await?;
    let hire = own(&tx, follower).await?;
    tell(app, &tx, &hire, lang).await
}

/// Refuses unless a walk-round is a signed one of their own hire.
pub(super) async fn own_record(app: &App, follower: &Follower, id: InspectionId) -> Result<(), Refusal> {
    let tx = app.store.read().await?;
    let hire = own(&tx, follower).await?;
    let own = [hire.departure, hire.return_].contains(&Some(id));
    let signed = inspection::known(&tx, id).await?.is_some_and(|h| h.signed_at.is_some());
    if own && signed { Ok(()) } else { Err(Refusal::not_found("record")) }
}

/// Disputes a line: it is held from now on, and nothing more is captured for it.
pub async fn dispute(
    app: &App,
    follower: &Follower,
    asked: NewDispute,
    lang: Lang,
) -> Result<Vec<OwnDispute>, Refusal> {
    let now = app.effects.now();
    let mut checks = Checks::default();
    checks.words("/words", &asked.words);
    checks.done()?;
    let tx = app.store.write().await?;
    let hire = hire::lock(&tx, Scope::All, follower.link.hire).await?;
    let hire = hire.ok_or_else(|| StoreError::Damaged(format!("link {} leads to no hire", follower.link.id)))?;
    if let Some(known) = contest::known(&tx, asked.id).await? {
        let same = known.link == follower.link.id && known.line == asked.line && known.words == asked.words;
        return if same { Ok(mine(&tx, &hire).await?) } else { Err(id_taken("dispute")) };
    }
    let compared = comparison::reckon(&tx, &hire, lang).await?;
    let line = compared.lines.iter().find(|l| l.key == asked.line);
    let Some(amount) = line.and_then(disputed) else {
        return Err(Refusal::value(
            "/line",
            "there is no charge of that name on the statement: take the key of a line",
        ));
    };
    if dispute_until(app, &hire).is_some_and(|until| until <= now) {
        return Err(refused("The time for disputing this statement is over. Write to the operator instead."));
    }
    let all = contest::of_hire(&tx, hire.id).await?;
    if all.iter().any(|c| c.is_open() && c.line == asked.line) {
        return Err(refused("This line is disputed already, and waits for an answer."));
    }
    if all.len() >= MOST_DISPUTES {
        return Err(refused("There are too many disputes on this hire already. Write to the operator instead."));
    }
    let sent = contest::photos_of_hire(&tx, hire.id).await?;
    let theirs: Vec<PhotoId> = sent.iter().filter(|p| p.link == follower.link.id).map(|p| p.id).collect();
    let mut checks = Checks::default();
    checks.photos(&asked.photos, &theirs);
    checks.done()?;
    let raised = Contest {
        id: asked.id,
        hire: hire.id,
        link: follower.link.id,
        line: asked.line,
        amount,
        words: asked.words,
        photos: asked.photos,
        raised_at: now,
        after_settlement: hire.status == HireStatus::Settled,
        outcome: None,
        answer: None,
        answered_at: None,
        answered_by: None,
    };
    contest::insert(&tx, &raised).await?;
    standing::reckon(app, &tx, &hire).await?;
    let told = serde_json::json!({ "dispute": raised.id, "line": raised.line, "amount": raised.amount });
    postroom::announce(app, &tx, hire.id, NoticeKind::DisputeRaised, &told).await?;
    postroom::dispute_received(app, &tx, &hire, &raised, follower.link.lang).await?;
    let own = mine(&tx, &hire).await?;
    tx.commit().await?;
    app.post.notify_one();
    Ok(own)
}

fn refused(words: &str) -> Refusal {
    Refusal::new(Code::DisputeRefused, words)
}

async fn mine(tx: &Tx, hire: &Hire) -> Result<Vec<OwnDispute>, Refusal> {
    Ok(contest::of_hire(tx, hire.id).await?.into_iter().map(OwnDispute::from).collect())
}

/// What a line comes to, where there is something to dispute.
fn disputed(line: &Line) -> Option<Money> {
    let amount = match line.state {
        LineState::Accepted | LineState::Adjusted => line.amount,
        LineState::Proposed | LineState::HeldForReview | LineState::Held | LineState::EstimateOpen => line.if_charged,
        LineState::NoBaseline | LineState::Waived => return None,
    };
    (line.price.is_none() || !amount.is_zero()).then_some(amount)
}

/// Keeps a photograph for a dispute.
pub async fn put_photo(
    app: &App,
    follower: &Follower,
    id: PhotoId,
    declared: Option<String>,
    bytes: Vec<u8>,
) -> Result<(), Refusal> {
    let (bytes, found) = app.images.ingest(bytes, declared).await?;
    let length = u64::try_from(bytes.len()).map_err(Refusal::internal)?;
    app.blobs.put(original_name(&found.sha256)?, bytes.clone()).await?;
    let developed = app.images.with_pixels(bytes, |bytes, limits| copies::develop(bytes, limits, |_| ()));
    let (files, ()) = developed.await??;
    for made in files {
        app.blobs.put(copies::name(&found.sha256, &made.what)?, made.bytes).await?;
    }
    let tx = app.store.write().await?;
    if let Some(known) = contest::known_photo(&tx, id).await? {
        let same = known.link == follower.link.id && known.sha256 == found.sha256;
        return if same { Ok(()) } else { Err(id_taken("photograph")) };
    }
    let sent = contest::photos_of_hire(&tx, follower.link.hire).await?;
    if sent.iter().filter(|p| p.link == follower.link.id).count() >= MOST_PHOTOS {
        return Err(refused("Twenty photographs have come by this link: send further ones to the operator by mail."));
    }
    let photo = ContestPhoto {
        id,
        hire: follower.link.hire,
        link: follower.link.id,
        sha256: found.sha256,
        media_type: found.media_type.to_owned(),
        bytes: length,
        received_at: app.effects.now(),
    };
    contest::insert_photo(&tx, &photo).await?;
    Ok(tx.commit().await?)
}

/// A photograph of a signed record of their own hire, or one they sent themselves.
pub async fn photo(
    app: &App,
    follower: &Follower,
    id: PhotoId,
    size: Size,
    form: Form,
) -> Result<(Served, Vec<u8>), Refusal> {
    let tx = app.store.read().await?;
    let hire = own(&tx, follower).await?;
    let sha256 = match contest::known_photo(&tx, id).await?.filter(|p| p.hire == hire.id) {
        Some(sent) => Some(sent.sha256),
        None => recorded(&tx, &hire, id).await?,
    };
    drop(tx);
    let sha256 = sha256.ok_or_else(|| Refusal::not_found("photograph"))?;
    Ok((copies::copy(&sha256, size, form)?, kept_copy(app, &sha256, size, form).await?))
}

async fn recorded(tx: &Tx, hire: &Hire, id: PhotoId) -> Result<Option<String>, Refusal> {
    let Some(file) = photo::known(tx, id).await? else { return Ok(None) };
    let own = [hire.departure, hire.return_].contains(&Some(file.inspection));
    let signed = inspection::known(tx, file.inspection).await?.is_some_and(|h| h.signed_at.is_some());
    Ok((own && signed && file.photo.arrived_at.is_some()).then_some(file.photo.sha256))
}
