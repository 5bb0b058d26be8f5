use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo_disposition")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub photo_id: Uuid,
    #[sea_orm(primary_key, auto_increment = false)]
    pub pointer_id: Uuid,
    pub disposition: String,
    pub mark_id: Option<Uuid>,
    pub staff_id: Uuid,
    pub at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
