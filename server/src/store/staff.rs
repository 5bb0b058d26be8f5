use super::convert::{from_word, small, word};
use super::entity::staff::{ActiveModel, Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::Staff;
use super::rows::{insert as insert_row, whole};
use super::{Scope, Tx};
use handsel_domain::ids::{DepotId, StaffId};
use sea_orm::sea_query::Order;
use sea_orm::{ColumnTrait, EntityTrait, PaginatorTrait, QueryFilter, Select, Set, Value};
use std::collections::BTreeMap;

impl TryFrom<Model> for Staff {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: StaffId(row.id),
            email: row.email,
            name: row.name,
            role: from_word("staff role", &row.role)?,
            depot: row.depot_id.map(DepotId),
            active: row.active,
            version: small("staff version", row.version)?,
        })
    }
}

fn row(staff: &Staff, password_hash: String, digest: String) -> Stored<Model> {
    Ok(Model {
        id: staff.id.0,
        email: staff.email.clone(),
        name: staff.name.clone(),
        role: word("staff role", &staff.role)?,
        depot_id: staff.depot.map(|d| d.0),
        active: staff.active,
        password_hash,
        digest,
        version: i64::from(staff.version),
    })
}

fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => Entity::find().filter(Column::DepotId.eq(own.0)),
        None => Entity::find(),
    }
}

pub async fn list(tx: &Tx, scope: Scope, ask: &PageAsk) -> Stored<Page<Staff>> {
    let by = By::<Entity> {
        column: Column::Name,
        id: Column::Id,
        order: Order::Asc,
        value: |text| Some(Value::from(text)),
        cursor: |row| Cursor(row.name.clone(), row.id),
    };
    page(tx, within(scope), &by, ask).await?.try_map(Staff::try_from)
}

pub async fn find(tx: &Tx, scope: Scope, id: StaffId) -> Stored<Option<Staff>> {
    within(scope).filter(Column::Id.eq(id.0)).one(tx.conn()).await?.map(Staff::try_from).transpose()
}

/// The member of staff of an id and the digest of what made them, whoever's they are.
pub async fn known(tx: &Tx, id: StaffId) -> Stored<Option<(Staff, String)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let digest = row.digest.clone();
    Ok(Some((row.try_into()?, digest)))
}

/// Who signs in with an address, and the hash of their password.
pub async fn by_email(tx: &Tx, email: &str) -> Stored<Option<(Staff, String)>> {
    let Some(row) = Entity::find().filter(Column::Email.eq(email)).one(tx.conn()).await? else { return Ok(None) };
    let hash = row.password_hash.clone();
    Ok(Some((row.try_into()?, hash)))
}

/// Whether there is anybody at all.
pub async fn any(tx: &Tx) -> Stored<bool> {
    Ok(Entity::find().count(tx.conn()).await? > 0)
}

/// Names of people, for showing who did something.
pub async fn names(tx: &Tx, ids: impl IntoIterator<Item = StaffId> + Send) -> Stored<BTreeMap<StaffId, String>> {
    let ids: Vec<_> = ids.into_iter().map(|id| id.0).collect();
    let rows = Entity::find().filter(Column::Id.is_in(ids)).all(tx.conn()).await?;
    Ok(rows.into_iter().map(|row| (StaffId(row.id), row.name)).collect())
}

pub async fn insert(tx: &Tx, staff: &Staff, password_hash: String, digest: String) -> Stored<()> {
    insert_row(tx, row(staff, password_hash, digest)?).await
}

/// Writes a member of staff unless their version is no longer the one given; says whether they were.
pub async fn update(tx: &Tx, staff: &Staff, password_hash: Option<String>, was: u32) -> Stored<bool> {
    let mut change: ActiveModel = whole(row(staff, String::new(), String::new())?);
    change.digest = sea_orm::NotSet;
    change.password_hash = password_hash.map_or(sea_orm::NotSet, Set);
    let done = Entity::update_many()
        .set(change)
        .filter(Column::Id.eq(staff.id.0))
        .filter(Column::Version.eq(i64::from(was)))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}
