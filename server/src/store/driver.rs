use super::Tx;
use super::entity::driver::{Column, Entity, Model};
use super::error::Stored;
use super::record::Driver;
use super::rows::{insert as insert_row, whole};
use handsel_domain::ids::{DriverId, HireId};
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QueryOrder};

fn row(hire: HireId, driver: &Driver, position: i64) -> Model {
    Model {
        id: driver.id.0,
        hire_id: hire.0,
        position,
        name: driver.name.clone(),
        email: driver.email.clone(),
        phone: driver.phone.clone(),
        lead: driver.lead,
    }
}

/// The hire a driver belongs to.
pub async fn hire_of(tx: &Tx, id: DriverId) -> Stored<Option<HireId>> {
    Ok(Entity::find_by_id(id.0).one(tx.conn()).await?.map(|row| HireId(row.hire_id)))
}

/// Adds a driver of a hire, or replaces one's details. A new lead takes over from the one before.
pub async fn put(tx: &Tx, hire: HireId, driver: &Driver) -> Stored<()> {
    if driver.lead {
        Entity::update_many()
            .col_expr(Column::Lead, Expr::value(false))
            .filter(Column::HireId.eq(hire.0))
            .exec(tx.conn())
            .await?;
    }
    if let Some(known) = Entity::find_by_id(driver.id.0).one(tx.conn()).await? {
        Entity::update(whole(row(hire, driver, known.position))).exec(tx.conn()).await?;
        return Ok(());
    }
    let last = Entity::find().filter(Column::HireId.eq(hire.0)).order_by_desc(Column::Position).one(tx.conn()).await?;
    insert_row(tx, row(hire, driver, last.map_or(1, |d| d.position + 1))).await
}

pub async fn remove(tx: &Tx, hire: HireId, id: DriverId) -> Stored<bool> {
    let done =
        Entity::delete_many().filter(Column::Id.eq(id.0)).filter(Column::HireId.eq(hire.0)).exec(tx.conn()).await?;
    Ok(done.rows_affected > 0)
}
