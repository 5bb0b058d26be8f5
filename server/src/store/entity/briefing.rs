use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "briefing")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub inspection_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub topic: String,
    pub shown_at: Option<DateTimeUtc>,
    pub acknowledged_at: Option<DateTimeUtc>,
    #[sea_orm(column_type = "JsonBinary")]
    pub overridden: Option<Json>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
