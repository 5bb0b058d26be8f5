use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "inspection")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub hire_id: Uuid,
    pub vehicle_id: Uuid,
    pub leg: String,
    pub template_id: Uuid,
    pub started_at: DateTimeUtc,
    pub started_by: Uuid,
    #[sea_orm(column_type = "JsonBinary")]
    pub clocks: Option<Json>,
    pub handed_over_at: Option<DateTimeUtc>,
    #[sea_orm(column_type = "JsonBinary")]
    pub absence: Option<Json>,
    pub signed_at: Option<DateTimeUtc>,
    pub signed_by: Option<Uuid>,
    #[sea_orm(column_type = "JsonBinary")]
    pub fitted: Json,
    #[sea_orm(column_type = "JsonBinary")]
    pub register: Option<Json>,
    pub digest: String,
    pub version: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
