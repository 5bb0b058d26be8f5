use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "seal_dispute")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub inspection_id: Uuid,
    pub staff_id: Uuid,
    pub at: DateTimeUtc,
    #[sea_orm(column_type = "JsonBinary", nullable)]
    pub device_record: Option<Json>,
    #[sea_orm(column_type = "JsonBinary")]
    pub device_hashes: Json,
    pub server_record: String,
    pub server_sha256: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
