use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "bank_import")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub name: String,
    pub sha256: String,
    pub format: String,
    pub version: Option<String>,
    #[sea_orm(column_type = "JsonBinary")]
    pub accounts: Json,
    pub entries: i64,
    pub read: i64,
    pub added: i64,
    pub pending: i64,
    pub state: String,
    pub reason: Option<String>,
    pub by: Uuid,
    pub at: DateTimeUtc,
    pub ended_at: Option<DateTimeUtc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
