use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "erasure")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub hire_id: Uuid,
    pub at: DateTimeUtc,
    pub document: String,
    pub sha256: String,
    pub signature: String,
    pub key_id: String,
    pub public_key: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
