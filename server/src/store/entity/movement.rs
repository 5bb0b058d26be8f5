use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "movement")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub hire_id: Uuid,
    pub position: i64,
    pub kind: String,
    pub means: String,
    pub amount_minor: i64,
    pub currency: String,
    pub reference: Option<String>,
    pub note: Option<String>,
    pub payer: Option<String>,
    pub hold_ends_at: Option<DateTimeUtc>,
    pub by: Uuid,
    pub at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
