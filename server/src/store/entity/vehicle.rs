use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "vehicle")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub name: String,
    pub registration: String,
    pub depot_id: Uuid,
    pub template_id: Uuid,
    pub tariff_id: Uuid,
    #[sea_orm(column_type = "JsonBinary")]
    pub details: Json,
    pub active: bool,
    pub digest: String,
    pub version: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
