//! What is recorded on an inspection: answers, looks at registered damage, briefings and signatures.

use super::Tx;
use super::convert::{at, from_json, from_json_opt, from_word, json, json_opt, small, word};
use super::entity::{briefing, entry, sighting, signature};
use super::error::{StoreError, Stored};
use super::record::StrokedSignature;
use super::rows::{insert, whole};
use handsel_domain::ids::{EntryId, InspectionId, MarkId, StaffId};
use handsel_domain::inspection::{BriefingRecord, Entry, Sighting, Signature};
use handsel_domain::time::Instant;
use sea_orm::sea_query::OnConflict;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

impl TryFrom<entry::Model> for Entry {
    type Error = StoreError;

    fn try_from(row: entry::Model) -> Stored<Self> {
        Ok(Self {
            id: EntryId(row.id),
            checkpoint: row.checkpoint,
            answer: from_json("answer", row.answer)?,
            photos: from_json("entry photos", row.photos)?,
            note: row.note,
            recorded_at: at(row.recorded_at),
            recorded_by: Some(StaffId(row.recorded_by)),
            replaces: from_json_opt("replaced answers", row.replaces)?.unwrap_or_default(),
        })
    }
}

/// Answers in the order they came.
pub async fn entries(tx: &Tx, inspection: InspectionId) -> Stored<Vec<Entry>> {
    let rows = entry::Entity::find()
        .filter(entry::Column::InspectionId.eq(inspection.0))
        .order_by_asc(entry::Column::Position)
        .all(tx.conn())
        .await?;
    let mut entries: Vec<Entry> = Vec::with_capacity(rows.len());
    for row in rows {
        // From before answers named what they replace: each was the last word.
        let last_word = row.replaces.is_none();
        let mut entry = Entry::try_from(row)?;
        if last_word {
            entry.replaces = entries.iter().filter(|e| e.checkpoint == entry.checkpoint).map(|e| e.id).collect();
        }
        entries.push(entry);
    }
    Ok(entries)
}

/// The answer of an id, the inspection it is of and the digest of what made it.
pub async fn known_entry(tx: &Tx, id: EntryId) -> Stored<Option<(Entry, InspectionId, String)>> {
    let Some(row) = entry::Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let (inspection, digest) = (InspectionId(row.inspection_id), row.digest.clone());
    Ok(Some((row.try_into()?, inspection, digest)))
}

pub async fn add_entry(tx: &Tx, of: InspectionId, answer: &Entry, by: StaffId, digest: String) -> Stored<()> {
    let last = entry::Entity::find()
        .filter(entry::Column::InspectionId.eq(of.0))
        .order_by_desc(entry::Column::Position)
        .one(tx.conn())
        .await?;
    let row = entry::Model {
        id: answer.id.0,
        inspection_id: of.0,
        position: last.map_or(1, |e| e.position + 1),
        checkpoint: answer.checkpoint.clone(),
        answer: json("answer", &answer.answer)?,
        photos: json("entry photos", &answer.photos)?,
        note: answer.note.clone(),
        recorded_at: answer.recorded_at.utc(),
        recorded_by: by.0,
        digest,
        replaces: Some(json("replaced answers", &answer.replaces)?),
    };
    insert(tx, row).await
}

pub async fn remove_entry(tx: &Tx, of: InspectionId, id: EntryId) -> Stored<bool> {
    let done = entry::Entity::delete_many()
        .filter(entry::Column::Id.eq(id.0))
        .filter(entry::Column::InspectionId.eq(of.0))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected > 0)
}

pub async fn sightings(tx: &Tx, inspection: InspectionId) -> Stored<Vec<Sighting>> {
    let rows = sighting::Entity::find()
        .filter(sighting::Column::InspectionId.eq(inspection.0))
        .order_by_asc(sighting::Column::SeenAt)
        .order_by_asc(sighting::Column::MarkId)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(seen).collect()
}

fn seen(row: sighting::Model) -> Stored<Sighting> {
    Ok(Sighting {
        mark: MarkId(row.mark_id),
        size_mm: small("sighting size", row.size_mm)?,
        photos: from_json("sighting photos", row.photos)?,
        note: row.note,
    })
}

pub async fn put_sighting(tx: &Tx, of: InspectionId, look: &Sighting, now: Instant) -> Stored<()> {
    remove_sighting(tx, of, look.mark).await?;
    let row = sighting::Model {
        inspection_id: of.0,
        mark_id: look.mark.0,
        size_mm: i64::from(look.size_mm),
        photos: json("sighting photos", &look.photos)?,
        note: look.note.clone(),
        seen_at: now.utc(),
    };
    insert(tx, row).await
}

pub async fn remove_sighting(tx: &Tx, of: InspectionId, mark: MarkId) -> Stored<bool> {
    let done = sighting::Entity::delete_many()
        .filter(sighting::Column::InspectionId.eq(of.0))
        .filter(sighting::Column::MarkId.eq(mark.0))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected > 0)
}

pub async fn briefings(tx: &Tx, inspection: InspectionId) -> Stored<Vec<BriefingRecord>> {
    let rows = briefing::Entity::find()
        .filter(briefing::Column::InspectionId.eq(inspection.0))
        .order_by_asc(briefing::Column::Topic)
        .all(tx.conn())
        .await?;
    rows.into_iter()
        .map(|row| {
            Ok(BriefingRecord {
                topic: row.topic,
                shown_at: row.shown_at.map(at),
                acknowledged_at: row.acknowledged_at.map(at),
                overridden: from_json_opt("override", row.overridden)?,
            })
        })
        .collect()
}

pub async fn put_briefing(tx: &Tx, of: InspectionId, record: &BriefingRecord) -> Stored<()> {
    use briefing::{Column, Entity, Model};
    let row = Model {
        inspection_id: of.0,
        topic: record.topic.clone(),
        shown_at: record.shown_at.map(Instant::utc),
        acknowledged_at: record.acknowledged_at.map(Instant::utc),
        overridden: json_opt("override", record.overridden.as_ref())?,
    };
    let replace = OnConflict::columns([Column::InspectionId, Column::Topic])
        .update_columns([Column::ShownAt, Column::AcknowledgedAt, Column::Overridden])
        .to_owned();
    Entity::insert(whole(row)).on_conflict(replace).exec_without_returning(tx.conn()).await?;
    Ok(())
}

pub async fn signatures(tx: &Tx, inspection: InspectionId) -> Stored<Vec<Signature>> {
    let rows = signature::Entity::find()
        .filter(signature::Column::InspectionId.eq(inspection.0))
        .order_by_asc(signature::Column::SignedAt)
        .order_by_asc(signature::Column::Role)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(|row| Ok(StrokedSignature::try_from(row)?.signature)).collect()
}

/// Signatures with what was drawn, by role.
pub async fn drawn(tx: &Tx, inspection: InspectionId) -> Stored<Vec<StrokedSignature>> {
    let rows = signature::Entity::find()
        .filter(signature::Column::InspectionId.eq(inspection.0))
        .order_by_asc(signature::Column::Role)
        .all(tx.conn())
        .await?;
    rows.into_iter().map(StrokedSignature::try_from).collect()
}

impl TryFrom<signature::Model> for StrokedSignature {
    type Error = StoreError;

    fn try_from(row: signature::Model) -> Stored<Self> {
        let signature = Signature {
            role: from_word("signature role", &row.role)?,
            name: row.name,
            signed_at: at(row.signed_at),
            strokes_sha256: row.strokes_sha256,
            record_sha256: row.record_sha256,
        };
        Ok(Self { signature, strokes: row.strokes, received_at: at(row.received_at) })
    }
}

pub async fn put_signature(tx: &Tx, of: InspectionId, signed: &StrokedSignature) -> Stored<()> {
    use signature::{Column, Entity, Model};
    let row = Model {
        inspection_id: of.0,
        role: word("signature role", &signed.signature.role)?,
        name: signed.signature.name.clone(),
        strokes: signed.strokes.clone(),
        strokes_sha256: signed.signature.strokes_sha256.clone(),
        signed_at: signed.signature.signed_at.utc(),
        received_at: signed.received_at.utc(),
        record_sha256: signed.signature.record_sha256.clone(),
    };
    let replace = OnConflict::columns([Column::InspectionId, Column::Role])
        .update_columns([
            Column::Name,
            Column::Strokes,
            Column::StrokesSha256,
            Column::SignedAt,
            Column::ReceivedAt,
            Column::RecordSha256,
        ])
        .to_owned();
    Entity::insert(whole(row)).on_conflict(replace).exec_without_returning(tx.conn()).await?;
    Ok(())
}
