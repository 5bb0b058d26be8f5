//! The evidence bundle of one hire, written file by file into a file of its own.

use super::hires::reached;
use super::papers::{self, Drafted};
use super::photos::original_name;
use super::settlement::tell;
use super::{App, Caller, Refusal, case, comparison};
use crate::store::record::Hire;
use crate::store::{Tx, addendum, contest, movement, photo, seal, walk};
use handsel_documents::bundle::{
    Addendum, BundleError, Contents, Dispute, Seal, Strokes, Writer, files, raw_signature,
};
use handsel_domain::canonical::canonical;
use handsel_domain::ids::{HireId, InspectionId};
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Seek, SeekFrom};

/// A bundle, ready to be sent from its start.
#[derive(Debug)]
pub struct Bundle {
    pub reference: String,
    pub file: File,
    pub bytes: u64,
}

/// Original photographs by the name they get in the bundle.
type Photos = BTreeMap<String, String>;

/// Makes the bundle of a hire that came back.
pub async fn make(app: &App, caller: &Caller, id: HireId) -> Result<Bundle, Refusal> {
    caller.must(Action::ReadBundle)?;
    let tx = app.store.read().await?;
    let hire = reached(&tx, caller, id).await?;
    let (contents, photos) = gather(app, &tx, &hire).await?;
    drop(tx);
    let records = [("documents/handover.pdf", hire.departure), ("documents/return.pdf", hire.return_)];
    let files = files(&contents).map_err(Refusal::internal)?;
    let mut writer = blocking(move || {
        let mut writer = Writer::new(tempfile::tempfile()?);
        for (name, bytes) in files {
            writer.add(&name, &bytes)?;
        }
        Ok(writer)
    })
    .await?;
    for (name, drafted) in papers_of(app, caller, &records, id).await? {
        let bytes = papers::set(app, drafted).await?;
        writer = blocking(move || writer.add(name, &bytes).map(|()| writer)).await?;
    }
    // One after the other: a hundred of them need not be in memory together.
    for (name, sha256) in photos {
        let bytes = app.blobs.get(original_name(&sha256)?).await?;
        if bytes.is_none() && hire.erased_at.is_some() {
            // Erased with the rest; the hashes in the list of photographs stay.
            continue;
        }
        let bytes = bytes.ok_or_else(|| Refusal::internal(format!("the bytes of photograph {sha256} are gone")))?;
        writer = blocking(move || writer.add(&name, &bytes).map(|()| writer)).await?;
    }
    let key = app.seal_key.clone();
    let (file, bytes) = blocking(move || {
        let mut file = writer.finish(|list| key.sign_raw(list))?;
        let bytes = file.seek(SeekFrom::End(0))?;
        file.seek(SeekFrom::Start(0))?;
        Ok((file, bytes))
    })
    .await?;
    Ok(Bundle { reference: hire.reference, file, bytes })
}

/// The typeset documents, in English.
async fn papers_of(
    app: &App,
    caller: &Caller,
    records: &[(&'static str, Option<InspectionId>)],
    id: HireId,
) -> Result<Vec<(&'static str, Drafted)>, Refusal> {
    let mut drafted = vec![("documents/statement.pdf", papers::of_hire(app, caller, id, Lang::En).await?)];
    for (name, record) in records {
        if let Some(record) = record {
            drafted.push((*name, papers::of_inspection(app, caller, *record, Lang::En).await?));
        }
    }
    Ok(drafted)
}

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, BundleError> + Send + 'static,
) -> Result<T, Refusal> {
    tokio::task::spawn_blocking(work).await.map_err(Refusal::internal)?.map_err(Refusal::internal)
}

async fn gather(app: &App, tx: &Tx, hire: &Hire) -> Result<(Contents, Photos), Refusal> {
    let case = case::build(tx, hire).await?;
    let compared = comparison::of(&case, Lang::En)?;
    let statement = tell(app, tx, hire, Lang::En).await?;
    let mut photos = Photos::new();
    let mut seals = Vec::new();
    for (leg, id) in [("departure", hire.departure), ("return", hire.return_)] {
        let Some(id) = id else { continue };
        for taken in photo::of_inspection(tx, id).await? {
            // One that was told of and never came is missing, and said to be by whoever checks.
            if let Some(file) = photo::known(tx, taken.id).await?.filter(|f| f.photo.arrived_at.is_some()) {
                keep(&mut photos, &file.photo.sha256, &file.media_type);
            }
        }
        seals.extend(sealed(tx, leg, id).await?);
    }
    let sent = contest::photos_of_hire(tx, hire.id).await?;
    for photo in &sent {
        keep(&mut photos, &photo.sha256, &photo.media_type);
    }
    let disputes = contest::of_hire(tx, hire.id).await?.into_iter().map(|dispute| Dispute {
        line: dispute.line,
        amount: dispute.amount,
        words: dispute.words,
        photos: sent.iter().filter(|p| dispute.photos.contains(&p.id)).map(|p| p.sha256.clone()).collect(),
        raised_at: dispute.raised_at,
        after_settlement: dispute.after_settlement,
        outcome: dispute.outcome,
        answer: dispute.answer,
        answered_at: dispute.answered_at,
    });
    let ledger = movement::of_hire(tx, hire.id).await?.into_iter().map(|m| m.movement).collect();
    let contents = Contents {
        comparison: compared,
        statement,
        ledger,
        seals,
        disputes: disputes.collect(),
        public_key: app.seal_key.public_pem(),
        case,
    };
    Ok((contents, photos))
}

fn keep(photos: &mut Photos, sha256: &str, media_type: &str) {
    let ending = match media_type {
        "image/png" => "png",
        "image/webp" => "webp",
        _ => "jpg",
    };
    photos.insert(format!("photos/{sha256}.{ending}"), sha256.to_owned());
}

async fn sealed(tx: &Tx, leg: &'static str, id: InspectionId) -> Result<Option<Seal>, Refusal> {
    let Some(kept) = seal::of(tx, id).await? else { return Ok(None) };
    let drawn = walk::drawn(tx, id).await?;
    let strokes = drawn.into_iter().map(|drawn| {
        let role = serde_json::to_value(drawn.signature.role).map_err(Refusal::internal)?;
        Ok(Strokes { role: role.as_str().unwrap_or_default().to_owned(), text: canonical(&drawn.strokes) })
    });
    let strokes = strokes.collect::<Result<Vec<_>, Refusal>>()?;
    let addenda = addendum::of(tx, id).await?.into_iter().map(|added| {
        Ok(Addendum {
            signature: raw_signature(&added.signature).map_err(Refusal::internal)?,
            document: added.document,
            public_key: added.public_key,
        })
    });
    Ok(Some(Seal {
        leg,
        signature: raw_signature(&kept.signature).map_err(Refusal::internal)?,
        record: kept.record,
        document: kept.document,
        public_key: kept.public_key,
        strokes,
        addenda: addenda.collect::<Result<Vec<_>, Refusal>>()?,
    }))
}
