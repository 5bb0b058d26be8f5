use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo_pointing")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub photo_id: Uuid,
    pub before_id: Uuid,
    pub state: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub pointers: Json,
    pub made_at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
