use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "seal")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub inspection_id: Uuid,
    pub vehicle_id: Uuid,
    pub number: i64,
    pub record: String,
    pub record_sha256: String,
    pub document: String,
    pub sha256: String,
    pub signature: String,
    pub key_id: String,
    pub public_key: String,
    pub previous: Option<String>,
    pub sealed_at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
