use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "entry")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub inspection_id: Uuid,
    pub position: i64,
    pub checkpoint: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub answer: Json,
    #[sea_orm(column_type = "JsonBinary")]
    pub photos: Json,
    pub note: Option<String>,
    pub recorded_at: DateTimeUtc,
    pub recorded_by: Uuid,
    pub digest: String,
    #[sea_orm(column_type = "JsonBinary", nullable)]
    pub replaces: Option<Json>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
