use super::convert::{from_json, json, small};
use super::entity::vehicle::{ActiveModel, Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::{Hire, Vehicle};
use super::rows::{insert as insert_row, whole};
use super::{Scope, Tx};
use handsel_domain::ids::{DepotId, TariffId, TemplateId, VehicleId};
use sea_orm::sea_query::Order;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QuerySelect, Select, Value};

impl TryFrom<Model> for Vehicle {
    type Error = StoreError;

    /// What has a column of its own is read from there; the rest from the whole.
    fn try_from(row: Model) -> Stored<Self> {
        let kept: Self = from_json("vehicle", row.details)?;
        Ok(Self {
            id: VehicleId(row.id),
            name: row.name,
            registration: row.registration,
            depot: DepotId(row.depot_id),
            template: TemplateId(row.template_id),
            tariff: TariffId(row.tariff_id),
            active: row.active,
            version: small("vehicle version", row.version)?,
            ..kept
        })
    }
}

fn row(vehicle: &Vehicle, digest: String) -> Stored<Model> {
    Ok(Model {
        id: vehicle.id.0,
        name: vehicle.name.clone(),
        registration: vehicle.registration.clone(),
        depot_id: vehicle.depot.0,
        template_id: vehicle.template.0,
        tariff_id: vehicle.tariff.0,
        details: json("vehicle", vehicle)?,
        active: vehicle.active,
        digest,
        version: i64::from(vehicle.version),
    })
}

fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => Entity::find().filter(Column::DepotId.eq(own.0)),
        None => Entity::find(),
    }
}

pub async fn list(tx: &Tx, scope: Scope, ask: &PageAsk) -> Stored<Page<Vehicle>> {
    let by = By::<Entity> {
        column: Column::Name,
        id: Column::Id,
        order: Order::Asc,
        value: |text| Some(Value::from(text)),
        cursor: |row| Cursor(row.name.clone(), row.id),
    };
    page(tx, within(scope), &by, ask).await?.try_map(Vehicle::try_from)
}

pub async fn find(tx: &Tx, scope: Scope, id: VehicleId) -> Stored<Option<Vehicle>> {
    within(scope).filter(Column::Id.eq(id.0)).one(tx.conn()).await?.map(Vehicle::try_from).transpose()
}

/// Nobody else locks or writes the vehicle until the transaction ends.
pub async fn lock(tx: &Tx, id: VehicleId) -> Stored<()> {
    let row = Entity::find_by_id(id.0).lock_exclusive().one(tx.conn()).await?;
    row.map(|_| ()).ok_or_else(|| StoreError::Damaged(format!("vehicle {id} is not there")))
}

/// The vehicle of a hire that the caller reaches, wherever it stands now.
pub async fn of_hire(tx: &Tx, hire: &Hire) -> Stored<Vehicle> {
    let row = Entity::find_by_id(hire.vehicle.0).one(tx.conn()).await?;
    row.ok_or_else(|| StoreError::Damaged(format!("hire {} has no vehicle", hire.id)))?.try_into()
}

/// The vehicle of an id and the digest of what made it, whoever's it is.
pub async fn known(tx: &Tx, id: VehicleId) -> Stored<Option<(Vehicle, String)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let digest = row.digest.clone();
    Ok(Some((row.try_into()?, digest)))
}

pub async fn insert(tx: &Tx, vehicle: &Vehicle, digest: String) -> Stored<()> {
    insert_row(tx, row(vehicle, digest)?).await
}

/// Writes a vehicle unless its version is no longer the one given; says whether it was.
pub async fn update(tx: &Tx, vehicle: &Vehicle, was: u32) -> Stored<bool> {
    let mut change: ActiveModel = whole(row(vehicle, String::new())?);
    change.digest = sea_orm::NotSet;
    let done = Entity::update_many()
        .set(change)
        .filter(Column::Id.eq(vehicle.id.0))
        .filter(Column::Version.eq(i64::from(was)))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}
