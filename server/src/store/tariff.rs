use super::Tx;
use super::convert::{from_json, from_word, json, small, word};
use super::entity::tariff::{Column, Entity, Model};
use super::error::Stored;
use super::page::{By, Cursor, Page, PageAsk, page};
use super::rows::insert as insert_row;
use handsel_domain::ids::TariffId;
use handsel_domain::money::Currency;
use handsel_domain::tariff::Tariff;
use sea_orm::sea_query::Order;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder, Value};

/// A tariff without its content.
#[derive(Clone, Debug)]
pub struct Summary {
    pub id: TariffId,
    pub name: String,
    pub version: u32,
    pub currency: Currency,
}

pub async fn list(tx: &Tx, ask: &PageAsk) -> Stored<Page<Summary>> {
    let by = By::<Entity> {
        column: Column::Name,
        id: Column::Id,
        order: Order::Asc,
        value: |text| Some(Value::from(text)),
        cursor: |row| Cursor(row.name.clone(), row.id),
    };
    page(tx, Entity::find(), &by, ask).await?.try_map(|row| {
        Ok(Summary {
            id: TariffId(row.id),
            name: row.name,
            version: small("tariff version", row.version)?,
            currency: from_word("tariff currency", &row.currency)?,
        })
    })
}

pub async fn find(tx: &Tx, id: TariffId) -> Stored<Option<Tariff>> {
    let row = Entity::find_by_id(id.0).one(tx.conn()).await?;
    row.map(|row| from_json("tariff", row.body)).transpose()
}

/// The latest version of a name; 0 before the first.
pub async fn latest(tx: &Tx, name: &str) -> Stored<u32> {
    let newest = Entity::find().filter(Column::Name.eq(name)).order_by_desc(Column::Version).one(tx.conn()).await?;
    newest.map_or(Ok(0), |row| small("tariff version", row.version))
}

pub async fn insert(tx: &Tx, tariff: &Tariff) -> Stored<()> {
    let row = Model {
        id: tariff.id.0,
        name: tariff.name.clone(),
        version: i64::from(tariff.version),
        currency: word("tariff currency", &tariff.currency)?,
        body: json("tariff", tariff)?,
    };
    insert_row(tx, row).await
}
