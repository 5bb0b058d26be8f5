use super::convert::small;
use super::entity::depot::{ActiveModel, Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::Depot;
use super::rows::{insert as insert_row, whole};
use super::{Scope, Tx};
use handsel_domain::ids::DepotId;
use sea_orm::sea_query::Order;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, Select, Value};

impl TryFrom<Model> for Depot {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: DepotId(row.id),
            name: row.name,
            zone: row.zone.parse().map_err(StoreError::Damaged)?,
            address: row.address,
            phone: row.phone,
            version: small("depot version", row.version)?,
        })
    }
}

fn row(depot: &Depot, digest: String) -> Model {
    Model {
        id: depot.id.0,
        name: depot.name.clone(),
        zone: depot.zone.to_string(),
        address: depot.address.clone(),
        phone: depot.phone.clone(),
        digest,
        version: i64::from(depot.version),
    }
}

fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => Entity::find().filter(Column::Id.eq(own.0)),
        None => Entity::find(),
    }
}

pub async fn list(tx: &Tx, scope: Scope, ask: &PageAsk) -> Stored<Page<Depot>> {
    let by = By::<Entity> {
        column: Column::Name,
        id: Column::Id,
        order: Order::Asc,
        value: |text| Some(Value::from(text)),
        cursor: |row| Cursor(row.name.clone(), row.id),
    };
    page(tx, within(scope), &by, ask).await?.try_map(Depot::try_from)
}

/// Every depot in scope.
pub async fn all(tx: &Tx, scope: Scope) -> Stored<Vec<Depot>> {
    within(scope).all(tx.conn()).await?.into_iter().map(Depot::try_from).collect()
}

pub async fn find(tx: &Tx, scope: Scope, id: DepotId) -> Stored<Option<Depot>> {
    within(scope).filter(Column::Id.eq(id.0)).one(tx.conn()).await?.map(Depot::try_from).transpose()
}

/// The depot of an id and the digest of what made it, whoever's it is.
pub async fn known(tx: &Tx, id: DepotId) -> Stored<Option<(Depot, String)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let digest = row.digest.clone();
    Ok(Some((row.try_into()?, digest)))
}

pub async fn insert(tx: &Tx, depot: &Depot, digest: String) -> Stored<()> {
    insert_row(tx, row(depot, digest)).await
}

/// Writes a depot unless its version is no longer the one given; says whether it was.
pub async fn update(tx: &Tx, depot: &Depot, was: u32) -> Stored<bool> {
    let mut change: ActiveModel = whole(row(depot, String::new()));
    change.digest = sea_orm::NotSet;
    let done = Entity::update_many()
        .set(change)
        .filter(Column::Id.eq(depot.id.0))
        .filter(Column::Version.eq(i64::from(was)))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}
