//! Writing whole rows.

use super::error::Stored;
use super::tx::Tx;
use sea_orm::{ActiveModelTrait, EntityTrait, IntoActiveModel, ModelTrait};

type Active<M> = <<M as ModelTrait>::Entity as EntityTrait>::ActiveModel;

/// Adds a row.
pub(super) async fn insert<M>(tx: &Tx, row: M) -> Stored<()>
where
    M: ModelTrait + IntoActiveModel<Active<M>>,
    Active<M>: ActiveModelTrait<Entity = M::Entity> + Send,
{
    M::Entity::insert(row.into_active_model().reset_all()).exec_without_returning(tx.conn()).await?;
    Ok(())
}

/// Every column of a row, to be written.
pub(super) fn whole<M>(row: M) -> Active<M>
where
    M: ModelTrait + IntoActiveModel<Active<M>>,
    Active<M>: ActiveModelTrait<Entity = M::Entity>,
{
    row.into_active_model().reset_all()
}
