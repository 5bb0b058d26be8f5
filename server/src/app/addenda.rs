//! What is added to an inspection after its seal. Nothing is edited: an addendum is sealed by itself.

use super::check::Checks;
use super::input::AddendumInput;
use super::once::{Made, digest, id_taken};
use super::open_walk::Walk;
use super::sealing::{hashed, moment, not_sealed};
use super::view::AddendumView;
use super::{App, Caller, Refusal};
use crate::store::record::Addendum;
use crate::store::{Tx, addendum, seal};
use handsel_domain::canonical::canonical;
use handsel_domain::ids::{AddendumId, InspectionId};
use handsel_domain::policy::Action;
use handsel_domain::time::Instant;
use serde_json::json;

/// How an addendum names its own format.
const FORMAT: &str = "handsel-addendum-1";

pub async fn put(
    app: &App,
    caller: &Caller,
    of: InspectionId,
    id: AddendumId,
    asked: AddendumInput,
) -> Result<Made<AddendumView>, Refusal> {
    let tx = app.store.write().await?;
    let now = app.effects.now();
    let made = put_in(app, &tx, caller, of, id, asked, (now, now)).await?;
    if made.fresh {
        tx.commit().await?;
    }
    Ok(made)
}

/// The same within a transaction, written at the first of two moments and received at the second.
pub(super) async fn put_in(
    app: &App,
    tx: &Tx,
    caller: &Caller,
    of: InspectionId,
    id: AddendumId,
    asked: AddendumInput,
    (at, received_at): (Instant, Instant),
) -> Result<Made<AddendumView>, Refusal> {
    caller.must(Action::RecordInspection)?;
    let digest = digest(&(of, &asked))?;
    let mut walk = Walk::locked(tx, caller, of).await?;
    if let Some(known) = addendum::known(tx, id).await? {
        return if known.digest == digest { Ok(Made::known(known.into())) } else { Err(id_taken("addendum")) };
    }
    let sealed = seal::of(tx, of).await?.ok_or_else(not_sealed)?;
    let mut checks = Checks::default();
    checks.words("/words", &asked.words);
    checks.photos(&asked.photos, &walk.photo_ids(tx).await?);
    checks.done()?;
    let written_at = asked.written_at.unwrap_or(at);
    let document = hashed(canonical(&json!({
        "format": FORMAT,
        "id": id,
        "seal": sealed.sha256,
        "words": asked.words,
        "photos": asked.photos,
        "written_at": moment(written_at),
        "key": app.seal_key.id(),
    })));
    let made = Addendum {
        id,
        inspection: of,
        words: asked.words,
        photos: asked.photos,
        written_at,
        written_by: caller.staff,
        signature: app.seal_key.sign(&document.text),
        document: document.text,
        sha256: document.sha256,
        key_id: app.seal_key.id().to_owned(),
        public_key: app.seal_key.public_pem(),
        received_at,
        digest,
    };
    addendum::insert(tx, &made).await?;
    walk.touch(tx).await?;
    Ok(Made::new(made.into()))
}
