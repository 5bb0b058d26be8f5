use super::convert::{at, from_json, from_json_opt, from_word, json, json_opt, money, small, word};
use super::entity::hire::{ActiveModel, Column, Entity, Model};
use super::entity::{depot, driver, inspection, vehicle};
use super::error::{StoreError, Stored};
use super::page::{By, Cursor, Page, PageAsk, page};
use super::record::{Driver, Hire};
use super::rows::{insert as insert_row, whole};
use super::{Scope, Tx};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, DriverId, HireId, InspectionId, TariffId, VehicleId};
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Condition, Expr, ExprTrait, Func, LikeExpr, Order, Query};
use sea_orm::{ColumnTrait, EntityTrait, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect, Select, Value};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Which hires, after the calendar has been read.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    pub status: Option<HireStatus>,
    pub depot: Option<DepotId>,
    pub vehicle: Option<VehicleId>,
    pub due: Option<Due>,
    pub words: Option<String>,
}

/// What is due, and the end of the day at each depot.
#[derive(Clone, Debug)]
pub enum Due {
    Departures(Vec<(DepotId, Instant)>),
    Returns(Vec<(DepotId, Instant)>),
}

fn row(hire: &Hire, digest: String) -> Stored<Model> {
    Ok(Model {
        id: hire.id.0,
        reference: hire.reference.clone(),
        depot_id: hire.depot.0,
        vehicle_id: hire.vehicle.0,
        tariff_id: hire.tariff.0,
        status: word("hire status", &hire.status)?,
        agreed_departure: hire.agreed_departure.utc(),
        agreed_return: hire.agreed_return.utc(),
        due_back: hire.agreed().due_back().utc(),
        extensions: json("hire extensions", &hire.extensions)?,
        currency: hire.excess.currency.code().to_owned(),
        excess_minor: hire.excess.minor,
        deposit_minor: hire.deposit.minor,
        deposit_means: word("deposit means", &hire.deposit_means)?,
        outside_excess: json("outside excess", &hire.outside_excess)?,
        new_to_layout: hire.new_to_layout,
        pets: hire.pets,
        trailer: hire.trailer,
        trips: json("hire trips", &hire.trips)?,
        odometer_replacement: json_opt("odometer replacement", hire.odometer_replacement.as_ref())?,
        departed_at: hire.departed_at.map(Instant::utc),
        returned_at: hire.returned_at.map(Instant::utc),
        settled_at: hire.settled_at.map(Instant::utc),
        cancelled_at: hire.cancelled_at.map(Instant::utc),
        cancel_reason: hire.cancel_reason.clone(),
        erased_at: hire.erased_at.map(Instant::utc),
        digest,
        version: i64::from(hire.version),
    })
}

fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => Entity::find().filter(Column::DepotId.eq(own.0)),
        None => Entity::find(),
    }
}

/// Hires of a page, most urgent first where something is due, of the settled ones the last settled first, else the
/// latest departure first.
pub async fn list(tx: &Tx, scope: Scope, wanted: &Wanted, ask: &PageAsk) -> Stored<Page<Hire>> {
    let mut select = within(scope);
    if let Some(status) = wanted.status {
        select = select.filter(Column::Status.eq(word("hire status", &status)?));
    }
    if let Some(depot) = wanted.depot {
        select = select.filter(Column::DepotId.eq(depot.0));
    }
    if let Some(vehicle) = wanted.vehicle {
        select = select.filter(Column::VehicleId.eq(vehicle.0));
    }
    if let Some(words) = &wanted.words {
        select = select.filter(mentions(words));
    }
    let by_departure = |order| By::<Entity> {
        column: Column::AgreedDeparture,
        id: Column::Id,
        order,
        value: moment,
        cursor: |row| Cursor(at(row.agreed_departure).to_string(), row.id),
    };
    let by = match &wanted.due {
        None if wanted.status == Some(HireStatus::Settled) => By::<Entity> {
            column: Column::SettledAt,
            id: Column::Id,
            order: Order::Desc,
            value: moment,
            cursor: |row| Cursor(row.settled_at.map(|s| at(s).to_string()).unwrap_or_default(), row.id),
        },
        None => by_departure(Order::Desc),
        Some(Due::Departures(ends)) => {
            let booked = word("hire status", &HireStatus::Booked)?;
            select = select.filter(Column::Status.eq(booked)).filter(before(Column::AgreedDeparture, ends));
            by_departure(Order::Asc)
        }
        Some(Due::Returns(ends)) => {
            let out = word("hire status", &HireStatus::Out)?;
            select = select.filter(Column::Status.eq(out)).filter(before(Column::DueBack, ends));
            By::<Entity> {
                column: Column::DueBack,
                id: Column::Id,
                order: Order::Asc,
                value: moment,
                cursor: |row| Cursor(at(row.due_back).to_string(), row.id),
            }
        }
    };
    let found = page(tx, select, &by, ask).await?;
    Ok(Page { next: found.next, items: views(tx, found.items).await? })
}

fn moment(text: &str) -> Option<Value> {
    text.parse::<Instant>().ok().map(|at| Value::from(at.utc()))
}

fn before(column: Column, ends: &[(DepotId, Instant)]) -> Condition {
    ends.iter().fold(Condition::any(), |any, (depot, end)| {
        any.add(Condition::all().add(Column::DepotId.eq(depot.0)).add(column.lt(end.utc())))
    })
}

/// The words stand in the reference, a driver's name, or the vehicle's name or registration.
fn mentions(words: &str) -> Condition {
    let escaped: String = words
        .to_lowercase()
        .chars()
        .flat_map(|c| matches!(c, '%' | '_' | '\\').then_some('\\').into_iter().chain([c]))
        .collect();
    let like = || LikeExpr::new(format!("%{}%", escaped.trim())).escape('\\');
    let drivers = Query::select()
        .column(driver::Column::HireId)
        .from(driver::Entity)
        .and_where(Func::lower(Expr::col(driver::Column::Name)).like(like()))
        .to_owned();
    let vehicles = Query::select()
        .column(vehicle::Column::Id)
        .from(vehicle::Entity)
        .cond_where(
            Condition::any()
                .add(Func::lower(Expr::col(vehicle::Column::Name)).like(like()))
                .add(Func::lower(Expr::col(vehicle::Column::Registration)).like(like())),
        )
        .to_owned();
    Condition::any()
        .add(Func::lower(Expr::col((Entity, Column::Reference))).like(like()))
        .add(Column::Id.in_subquery(drivers))
        .add(Column::VehicleId.in_subquery(vehicles))
}

/// Those of some ids, in the order of the ids. One that is not within reach is a damaged list.
pub async fn each(tx: &Tx, scope: Scope, ids: &[HireId]) -> Stored<Vec<Hire>> {
    let rows = within(scope).filter(Column::Id.is_in(ids.iter().map(|id| id.0))).all(tx.conn()).await?;
    let mut found: BTreeMap<HireId, Hire> = views(tx, rows).await?.into_iter().map(|hire| (hire.id, hire)).collect();
    ids.iter()
        .map(|id| found.remove(id).ok_or_else(|| StoreError::Damaged(format!("hire {id} is listed and not there"))))
        .collect()
}

/// Those whose reference is one of these words.
pub async fn by_references(tx: &Tx, words: impl IntoIterator<Item = &str>) -> Stored<Vec<Hire>> {
    let rows = Entity::find().filter(Column::Reference.is_in(words)).all(tx.conn()).await?;
    views(tx, rows).await
}

pub async fn find(tx: &Tx, scope: Scope, id: HireId) -> Stored<Option<Hire>> {
    one(tx, within(scope).filter(Column::Id.eq(id.0))).await
}

/// The hire, and nobody else changes it or its money until the transaction ends.
pub async fn lock(tx: &Tx, scope: Scope, id: HireId) -> Stored<Option<Hire>> {
    one(tx, within(scope).filter(Column::Id.eq(id.0)).lock_exclusive()).await
}

async fn one(tx: &Tx, select: Select<Entity>) -> Stored<Option<Hire>> {
    let rows = select.all(tx.conn()).await?;
    Ok(views(tx, rows).await?.pop())
}

/// The hire of an id and the digest of what made it, whoever's it is.
pub async fn known(tx: &Tx, id: HireId) -> Stored<Option<(Hire, String)>> {
    let Some(row) = Entity::find_by_id(id.0).one(tx.conn()).await? else { return Ok(None) };
    let digest = row.digest.clone();
    Ok(views(tx, vec![row]).await?.pop().map(|hire| (hire, digest)))
}

/// Whether the vehicle is out on a hire other than this.
pub async fn out_elsewhere(tx: &Tx, hire: &Hire) -> Stored<bool> {
    let others = Entity::find()
        .filter(Column::VehicleId.eq(hire.vehicle.0))
        .filter(Column::Status.eq(word("hire status", &HireStatus::Out)?))
        .filter(Column::Id.ne(hire.id.0));
    Ok(others.count(tx.conn()).await? > 0)
}

pub async fn insert(tx: &Tx, hire: &Hire, digest: String) -> Stored<()> {
    insert_row(tx, row(hire, digest)?).await
}

/// Writes a hire unless its version is no longer the one given; says whether it was.
pub async fn update(tx: &Tx, hire: &Hire, was: u32) -> Stored<bool> {
    let mut change: ActiveModel = whole(row(hire, String::new())?);
    change.digest = sea_orm::NotSet;
    let done = Entity::update_many()
        .set(change)
        .filter(Column::Id.eq(hire.id.0))
        .filter(Column::Version.eq(i64::from(was)))
        .exec(tx.conn())
        .await?;
    Ok(done.rows_affected == 1)
}

/// Hires with what is shown beside them, in the order of the rows.
async fn views(tx: &Tx, rows: Vec<Model>) -> Stored<Vec<Hire>> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let ids: Vec<Uuid> = rows.iter().map(|r| r.id).collect();
    let drivers = driver::Entity::find()
        .filter(driver::Column::HireId.is_in(ids.clone()))
        .order_by_asc(driver::Column::Position)
        .all(tx.conn())
        .await?;
    let walks: Vec<(Uuid, Uuid, String)> = inspection::Entity::find()
        .select_only()
        .columns([inspection::Column::HireId, inspection::Column::Id, inspection::Column::Leg])
        .filter(inspection::Column::HireId.is_in(ids))
        .into_tuple()
        .all(tx.conn())
        .await?;
    let depots =
        depot::Entity::find().filter(depot::Column::Id.is_in(rows.iter().map(|r| r.depot_id))).all(tx.conn()).await?;
    let vehicles: Vec<(Uuid, String, String)> = vehicle::Entity::find()
        .select_only()
        .columns([vehicle::Column::Id, vehicle::Column::Name, vehicle::Column::Registration])
        .filter(vehicle::Column::Id.is_in(rows.iter().map(|r| r.vehicle_id)))
        .into_tuple()
        .all(tx.conn())
        .await?;
    let zones: BTreeMap<Uuid, String> = depots.into_iter().map(|d| (d.id, d.zone)).collect();
    let vehicles: BTreeMap<Uuid, (String, String)> = vehicles.into_iter().map(|(id, n, r)| (id, (n, r))).collect();
    rows.into_iter()
        .map(|row| {
            let lacks = |what: &str| StoreError::Damaged(format!("hire {} has no {what}", row.id));
            let walk = |leg: &str| {
                walks.iter().find(|(hire, _, l)| *hire == row.id && l == leg).map(|(_, id, _)| InspectionId(*id))
            };
            let zone = zones.get(&row.depot_id).ok_or_else(|| lacks("depot"))?;
            let (name, registration) = vehicles.get(&row.vehicle_id).ok_or_else(|| lacks("vehicle"))?.clone();
            let own = drivers.iter().filter(|d| d.hire_id == row.id).map(|d| Driver {
                id: DriverId(d.id),
                name: d.name.clone(),
                email: d.email.clone(),
                phone: d.phone.clone(),
                lead: d.lead,
            });
            Ok(Hire {
                id: HireId(row.id),
                depot: DepotId(row.depot_id),
                vehicle: VehicleId(row.vehicle_id),
                tariff: TariffId(row.tariff_id),
                status: from_word("hire status", &row.status)?,
                agreed_departure: at(row.agreed_departure),
                agreed_return: at(row.agreed_return),
                due_back: at(row.due_back),
                excess: money("excess", row.excess_minor, &row.currency)?,
                deposit: money("deposit", row.deposit_minor, &row.currency)?,
                deposit_means: from_word("deposit means", &row.deposit_means)?,
                new_to_layout: row.new_to_layout,
                pets: row.pets,
                trailer: row.trailer,
                drivers: own.collect(),
                departed_at: row.departed_at.map(at),
                returned_at: row.returned_at.map(at),
                settled_at: row.settled_at.map(at),
                cancelled_at: row.cancelled_at.map(at),
                erased_at: row.erased_at.map(at),
                departure: walk("departure"),
                return_: walk("return"),
                zone: zone.parse().map_err(StoreError::Damaged)?,
                vehicle_name: name,
                vehicle_registration: registration,
                version: small("hire version", row.version)?,
                reference: row.reference,
                cancel_reason: row.cancel_reason,
                extensions: from_json("hire extensions", row.extensions)?,
                outside_excess: from_json("outside excess", row.outside_excess)?,
                trips: from_json("hire trips", row.trips)?,
                odometer_replacement: from_json_opt("odometer replacement", row.odometer_replacement)?,
            })
        })
        .collect()
}

/// When some hires were settled, if they were.
pub async fn settled(tx: &Tx, ids: &[HireId]) -> Stored<Vec<(HireId, Option<Instant>)>> {
    let rows: Vec<(Uuid, Option<chrono::DateTime<chrono::Utc>>)> = Entity::find()
        .select_only()
        .columns([Column::Id, Column::SettledAt])
        .filter(Column::Id.is_in(ids.iter().map(|id| id.0)))
        .into_tuple()
        .all(tx.conn())
        .await?;
    Ok(rows.into_iter().map(|(id, settled)| (HireId(id), settled.map(at))).collect())
}
