use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "addendum")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub inspection_id: Uuid,
    pub words: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub photos: Json,
    pub written_at: DateTimeUtc,
    pub written_by: Uuid,
    pub document: String,
    pub sha256: String,
    pub signature: String,
    pub key_id: String,
    pub public_key: String,
    pub received_at: DateTimeUtc,
    pub digest: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
