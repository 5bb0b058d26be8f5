use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "dispute")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub hire_id: Uuid,
    pub link_id: Uuid,
    pub line: String,
    pub amount_minor: i64,
    pub currency: String,
    pub words: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub photos: Json,
    pub raised_at: DateTimeUtc,
    pub after_settlement: bool,
    pub outcome: Option<String>,
    pub answer: Option<String>,
    pub answered_at: Option<DateTimeUtc>,
    pub answered_by: Option<Uuid>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
