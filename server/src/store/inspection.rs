use super::convert::{at, from_json, from_json_opt, from_word, json, json_opt, small, word};
use super::entity::hire;
use super::entity::inspection::{ActiveModel, Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::record::InspectionHead;
use super::rows::{insert as insert_row, whole};
use super::{Scope, Tx};
use handsel_domain::ids::{HireId, InspectionId, StaffId, TemplateId, VehicleId};
use handsel_domain::inspection::Leg;
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Expr, ExprTrait, Query};
use sea_orm::{ColumnTrait, EntityTrait, QueryFilter, QuerySelect, Select};

impl TryFrom<Model> for InspectionHead {
    type Error = StoreError;

    fn try_from(row: Model) -> Stored<Self> {
        Ok(Self {
            id: InspectionId(row.id),
            hire: HireId(row.hire_id),
            vehicle: VehicleId(row.vehicle_id),
            leg: from_word("leg", &row.leg)?,
            template: TemplateId(row.template_id),
            started_at: at(row.started_at),
            started_by: StaffId(row.started_by),
            clocks: from_json_opt("clocks", row.clocks)?,
            handed_over_at: row.handed_over_at.map(at),
            absence: from_json_opt("absence", row.absence)?,
            signed_at: row.signed_at.map(at),
            signed_by: row.signed_by.map(StaffId),
            fitted: from_json("fitted", row.fitted)?,
            register: from_json_opt("register", row.register)?,
            digest: row.digest,
            version: small("inspection version", row.version)?,
        })
    }
}

fn row(head: &InspectionHead) -> Stored<Model> {
    Ok(Model {
        id: head.id.0,
        hire_id: head.hire.0,
        vehicle_id: head.vehicle.0,
        leg: word("leg", &head.leg)?,
        template_id: head.template.0,
        started_at: head.started_at.utc(),
        started_by: head.started_by.0,
        clocks: json_opt("clocks", head.clocks.as_ref())?,
        handed_over_at: head.handed_over_at.map(Instant::utc),
        absence: json_opt("absence", head.absence.as_ref())?,
        signed_at: head.signed_at.map(Instant::utc),
        signed_by: head.signed_by.map(|s| s.0),
        fitted: json("fitted", &head.fitted)?,
        register: json_opt("register", head.register.as_ref())?,
        digest: head.digest.clone(),
        version: i64::from(head.version),
    })
}

/// Inspections whose hire the caller reaches.
pub(super) fn within(scope: Scope) -> Select<Entity> {
    match scope.depot() {
        Some(own) => {
            let hires = Query::select()
                .column(hire::Column::Id)
                .from(hire::Entity)
                .and_where(Expr::col(hire::Column::DepotId).eq(own.0))
                .to_owned();
            Entity::find().filter(Column::HireId.in_subquery(hires))
        }
        None => Entity::find(),
    }
}

pub async fn find(tx: &Tx, scope: Scope, id: InspectionId) -> Stored<Option<InspectionHead>> {
    one(tx, within(scope).filter(Column::Id.eq(id.0))).await
}

/// The inspection, and nobody else changes it until the transaction ends.
pub async fn lock(tx: &Tx, scope: Scope, id: InspectionId) -> Stored<Option<InspectionHead>> {
    one(tx, within(scope).filter(Column::Id.eq(id.0)).lock_exclusive()).await
}

async fn one(tx: &Tx, select: Select<Entity>) -> Stored<Option<InspectionHead>> {
    select.one(tx.conn()).await?.map(InspectionHead::try_from).transpose()
}

/// The inspection of an id, whoever's it is.
pub async fn known(tx: &Tx, id: InspectionId) -> Stored<Option<InspectionHead>> {
    one(tx, Entity::find_by_id(id.0)).await
}

/// The walk-round of a hire that the caller reaches.
pub async fn of_hire(tx: &Tx, hire: HireId, leg: Leg) -> Stored<Option<InspectionHead>> {
    one(tx, Entity::find().filter(Column::HireId.eq(hire.0)).filter(Column::Leg.eq(word("leg", &leg)?))).await
}

pub async fn insert(tx: &Tx, head: &InspectionHead) -> Stored<()> {
    insert_row(tx, row(head)?).await
}

/// Writes a locked inspection, one version on.
pub async fn update(tx: &Tx, head: &mut InspectionHead) -> Stored<()> {
    head.version += 1;
    let change: ActiveModel = whole(row(head)?);
    Entity::update(change).exec(tx.conn()).await?;
    Ok(())
}
