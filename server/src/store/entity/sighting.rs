use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "sighting")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub inspection_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub mark_id: Uuid,
    pub size_mm: i64,
    #[sea_orm(column_type = "JsonBinary")]
    pub photos: Json,
    pub note: Option<String>,
    pub seen_at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
