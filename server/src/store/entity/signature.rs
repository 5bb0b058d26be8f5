use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "signature")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub inspection_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub role: String,
    pub name: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub strokes: Json,
    pub strokes_sha256: String,
    pub signed_at: DateTimeUtc,
    pub received_at: DateTimeUtc,
    pub record_sha256: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
