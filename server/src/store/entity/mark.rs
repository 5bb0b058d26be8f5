use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "mark")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub vehicle_id: Uuid,
    pub inspection_id: Uuid,
    pub panel: String,
    pub kind: String,
    pub size_mm: i64,
    pub depth: String,
    pub viewpoint: String,
    pub x: String,
    pub y: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub photos: Json,
    pub note: Option<String>,
    pub recorded_at: DateTimeUtc,
    pub joined_at: Option<DateTimeUtc>,
    pub repaired_at: Option<DateTimeUtc>,
    pub repair_note: Option<String>,
    pub repaired_by: Option<Uuid>,
    pub digest: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
