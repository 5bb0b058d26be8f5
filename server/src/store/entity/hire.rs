use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "hire")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub reference: String,
    pub depot_id: Uuid,
    pub vehicle_id: Uuid,
    pub tariff_id: Uuid,
    pub status: String,
    pub agreed_departure: DateTimeUtc,
    pub agreed_return: DateTimeUtc,
    pub due_back: DateTimeUtc,
    #[sea_orm(column_type = "JsonBinary")]
    pub extensions: Json,
    pub currency: String,
    pub excess_minor: i64,
    pub deposit_minor: i64,
    pub deposit_means: String,
    #[sea_orm(column_type = "JsonBinary")]
    pub outside_excess: Json,
    pub new_to_layout: bool,
    pub pets: bool,
    pub trailer: bool,
    #[sea_orm(column_type = "JsonBinary")]
    pub trips: Json,
    #[sea_orm(column_type = "JsonBinary")]
    pub odometer_replacement: Option<Json>,
    pub departed_at: Option<DateTimeUtc>,
    pub returned_at: Option<DateTimeUtc>,
    pub settled_at: Option<DateTimeUtc>,
    pub cancelled_at: Option<DateTimeUtc>,
    pub cancel_reason: Option<String>,
    pub erased_at: Option<DateTimeUtc>,
    pub digest: String,
    pub version: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
