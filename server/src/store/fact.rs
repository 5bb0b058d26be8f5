//! What was found out about each photograph's content, by the hash of its bytes.

use super::Tx;
use super::convert::at;
use super::entity::photo_fact::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::record::Fact;
use super::rows::whole;
use sea_orm::sea_query::OnConflict;
use sea_orm::{ColumnTrait, Condition, EntityTrait, QueryFilter};
use std::collections::BTreeMap;

impl From<Model> for Fact {
    fn from(row: Model) -> Self {
        Self {
            sha256: row.sha256,
            sharpness: row.sharpness,
            sharpest: row.sharpest,
            mean: row.mean,
            dark_share: row.dark_share,
            bright_share: row.bright_share,
            fingerprint: row.fingerprint,
            made_at: at(row.made_at),
        }
    }
}

/// The first sixteen digits of a fingerprint, in four parts. Of two that differ in at most three bits, at least one part
/// is the same: that is what near ones are looked up by.
fn bands(fingerprint: &str) -> Stored<[i64; 4]> {
    let mut bands = [0; 4];
    for (index, band) in bands.iter_mut().enumerate() {
        let digits = fingerprint.get(index * 4..index * 4 + 4).unwrap_or_default();
        *band = i64::from_str_radix(digits, 16)
            .map_err(|e| StoreError::Damaged(format!("fingerprint `{fingerprint}`: {e}")))?;
    }
    Ok(bands)
}

/// Keeps what was found out. The same bytes have the same facts: those there stay.
pub async fn keep(tx: &Tx, fact: &Fact) -> Stored<()> {
    let [band_0, band_1, band_2, band_3] = bands(&fact.fingerprint)?;
    let row = Model {
        sha256: fact.sha256.clone(),
        sharpness: fact.sharpness,
        sharpest: fact.sharpest,
        mean: fact.mean,
        dark_share: fact.dark_share,
        bright_share: fact.bright_share,
        fingerprint: fact.fingerprint.clone(),
        band_0,
        band_1,
        band_2,
        band_3,
        made_at: fact.made_at.utc(),
    };
    let known = OnConflict::column(Column::Sha256).do_nothing().to_owned();
    Entity::insert(whole(row)).on_conflict(known).exec_without_returning(tx.conn()).await?;
    Ok(())
}

/// What is known of some contents.
pub async fn of(tx: &Tx, hashes: Vec<String>) -> Stored<BTreeMap<String, Fact>> {
    let rows = Entity::find().filter(Column::Sha256.is_in(hashes)).all(tx.conn()).await?;
    Ok(rows.into_iter().map(|row| (row.sha256.clone(), row.into())).collect())
}

/// Contents whose fingerprints may be near: everything that is near is among them.
pub async fn near(tx: &Tx, fingerprint: &str) -> Stored<Vec<Fact>> {
    let [band_0, band_1, band_2, band_3] = bands(fingerprint)?;
    let shared = Condition::any()
        .add(Column::Band0.eq(band_0))
        .add(Column::Band1.eq(band_1))
        .add(Column::Band2.eq(band_2))
        .add(Column::Band3.eq(band_3));
    let rows = Entity::find().filter(shared).all(tx.conn()).await?;
    Ok(rows.into_iter().map(Fact::from).collect())
}
