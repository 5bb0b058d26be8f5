use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo_repeat")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub photo_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub earlier_id: Uuid,
    pub how: String,
    pub whose: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
