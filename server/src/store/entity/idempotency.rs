use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "idempotency")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub staff_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub key: String,
    pub digest: String,
    pub body: Option<String>,
    pub answer_version: Option<i64>,
    pub at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
