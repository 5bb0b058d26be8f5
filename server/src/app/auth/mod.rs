//! Signing in, staying signed in, signing out.

mod passwords;
mod tokens;

pub use tokens::Tokens;

pub(super) use passwords::hash;

use super::input::{Login, RefreshToken};
use super::view::Session;
use super::{App, Caller, Code, Refusal};
use crate::store::record::Staff;
use crate::store::session::{self, Refresh};
use crate::store::{Scope, Tx, staff};
use handsel_domain::time::Instant;
use uuid::Uuid;

/// Failures of one address within the window after which it must wait.
const MOST_FAILURES: u64 = 10;
const WINDOW_SECONDS: i64 = 15 * 60;
const REFRESH_SECONDS: i64 = 30 * 24 * 60 * 60;

/// Signs in. An address nobody has is answered like a wrong password, and takes as long.
pub async fn login(app: &App, asked: Login) -> Result<Session, Refusal> {
    let now = app.effects.now();
    let email = asked.email.trim().to_lowercase();
    let tx = app.store.read().await?;
    let recent = session::failures_since(&tx, &email, now.plus_seconds(-WINDOW_SECONDS)).await?;
    if recent >= MOST_FAILURES {
        return Err(Refusal::new(
            Code::LoginThrottled,
            "Too many failed attempts with this address. Wait a quarter of an hour, then try again.",
        )
        .and("retry_after_seconds", WINDOW_SECONDS));
    }
    let found = staff::by_email(&tx, &email).await?;
    drop(tx);
    let (person, known_hash) = found.map_or((None, None), |(person, hash)| (Some(person), Some(hash)));
    let right = passwords::matches(asked.password, known_hash).await?;
    let tx = app.store.write().await?;
    match person {
        Some(person) if right && person.active => {
            session::forget_failures(&tx, &email, now.plus_seconds(-WINDOW_SECONDS)).await?;
            session::forget_expired(&tx, now.plus_seconds(-REFRESH_SECONDS)).await?;
            let opened = open(app, &tx, person, app.effects.ids.next(), now).await?;
            tx.commit().await?;
            Ok(opened)
        }
        _ => {
            session::note_failure(&tx, app.effects.ids.next(), &email, now).await?;
            tx.commit().await?;
            Err(Refusal::new(Code::LoginFailed, "The address or the password is wrong. Try again."))
        }
    }
}

/// The next session of the same sign-in.
pub async fn refresh(app: &App, asked: &RefreshToken) -> Result<Session, Refusal> {
    let now = app.effects.now();
    let tx = app.store.write().await?;
    let Some(known) = session::by_hash(&tx, &tokens::fingerprint(&asked.refresh_token)).await? else {
        return Err(invalid());
    };
    if known.used {
        // Whoever holds it, two do: the sign-in it came from is over for both.
        session::revoke_family(&tx, known.family, now).await?;
        tx.commit().await?;
        return Err(reused());
    }
    if known.revoked || known.expires_at <= now {
        return Err(invalid());
    }
    if !session::spend(&tx, known.id, now).await? {
        // Somebody else spent it between reading and now.
        session::revoke_family(&tx, known.family, now).await?;
        tx.commit().await?;
        return Err(reused());
    }
    let Some(person) = staff::find(&tx, Scope::All, known.staff).await?.filter(|s| s.active) else {
        return Err(invalid());
    };
    let opened = open(app, &tx, person, known.family, now).await?;
    tx.commit().await?;
    Ok(opened)
}

fn invalid() -> Refusal {
    Refusal::new(Code::RefreshInvalid, "The session has ended. Sign in again.")
}

fn reused() -> Refusal {
    Refusal::new(
        Code::RefreshReused,
        "This refresh token was used before, so somebody may have copied it: the session was ended everywhere. \
         Sign in again.",
    )
}

/// Ends the session a token belongs to. A token nobody knows has no session: that is what was asked for.
pub async fn logout(app: &App, asked: &RefreshToken) -> Result<(), Refusal> {
    let tx = app.store.write().await?;
    if let Some(known) = session::by_hash(&tx, &tokens::fingerprint(&asked.refresh_token)).await? {
        session::revoke_family(&tx, known.family, app.effects.now()).await?;
    }
    tx.commit().await?;
    Ok(())
}

/// Who holds an access token. Read afresh each time, so that a role taken away is gone at once.
pub async fn identify(app: &App, token: &str) -> Result<Caller, Refusal> {
    let id = app.tokens.read(token, app.effects.now())?;
    let tx = app.store.read().await?;
    let person = staff::find(&tx, Scope::All, id).await?.filter(|s| s.active);
    person
        .map(|s| Caller::of(&s))
        .ok_or_else(|| Refusal::new(Code::Unauthenticated, "This account is closed. Ask a manager to open it again."))
}

async fn open(app: &App, tx: &Tx, person: Staff, family: Uuid, now: Instant) -> Result<Session, Refusal> {
    let (access_token, access_expires_at) = app.tokens.issue(person.id, app.effects.ids.next(), now)?;
    let refresh_token = tokens::opaque(&app.effects);
    let refresh_expires_at = now.plus_seconds(REFRESH_SECONDS);
    let refresh = Refresh {
        id: app.effects.ids.next(),
        family,
        staff: person.id,
        token_hash: tokens::fingerprint(&refresh_token),
        issued_at: now,
        expires_at: refresh_expires_at,
        used: false,
        revoked: false,
    };
    session::keep(tx, &refresh).await?;
    Ok(Session { access_token, access_expires_at, refresh_token, refresh_expires_at, staff: person })
}
