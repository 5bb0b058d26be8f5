use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
#[sea_orm(table_name = "standing")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub hire_id: Uuid,
    pub depot_id: Uuid,
    pub waiting: bool,
    pub promised_at: Option<DateTimeUtc>,
    pub open_lines: i64,
    pub weak_lines: i64,
    pub held_lines: i64,
    pub open_estimates: i64,
    pub open_disputes: i64,
    pub currency: String,
    pub charged_minor: i64,
    pub undecided_minor: i64,
    pub held_minor: i64,
    pub held_card_minor: i64,
    pub outstanding_minor: i64,
    pub hold_ends_at: Option<DateTimeUtc>,
    pub returned_at: Option<DateTimeUtc>,
    #[sea_orm(column_type = "JsonBinary")]
    pub facts: Option<Json>,
    pub reckoned_at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
