use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo_fact")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub sha256: String,
    pub sharpness: f64,
    pub sharpest: f64,
    pub mean: f64,
    pub dark_share: f64,
    pub bright_share: f64,
    pub fingerprint: String,
    pub band_0: i64,
    pub band_1: i64,
    pub band_2: i64,
    pub band_3: i64,
    pub made_at: DateTimeUtc,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
