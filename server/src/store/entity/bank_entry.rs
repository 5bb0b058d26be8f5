use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "bank_entry")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub import_id: Uuid,
    pub identity: String,
    pub account: String,
    pub amount_minor: i64,
    pub currency: String,
    pub reversal: bool,
    pub booked_on: String,
    pub value_on: Option<String>,
    pub bank_reference: Option<String>,
    #[sea_orm(column_type = "JsonBinary")]
    pub references: Json,
    pub party: Option<String>,
    pub words: String,
    pub state: String,
    pub aside_reason: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
