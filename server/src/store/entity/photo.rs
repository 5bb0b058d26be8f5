use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub inspection_id: Uuid,
    pub sha256: String,
    pub media_type: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub subject: Json,
    pub taken_at: DateTimeUtc,
    pub received_at: DateTimeUtc,
    pub width: i64,
    pub height: i64,
    pub bytes: i64,
    pub arrived_at: Option<DateTimeUtc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
