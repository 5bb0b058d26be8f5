use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "operation")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub device_id: Uuid,
    pub sequence: i64,
    pub inspection_id: Uuid,
    pub staff_id: Uuid,
    pub author_id: Option<Uuid>,
    pub done_at: DateTimeUtc,
    pub received_at: DateTimeUtc,
    pub content_sha256: String,
    #[sea_orm(column_type = "JsonBinary", nullable)]
    pub refusal: Option<Json>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
