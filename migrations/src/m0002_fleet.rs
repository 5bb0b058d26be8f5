//! Templates, tariffs and vehicles.

use crate::columns::{create, drop, flag, id, index, json, key, number, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["template", "tariff", "vehicle"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let template = table("template")
            .col(key())
            .col(text("layout"))
            .col(number("version"))
            .col(json("title"))
            .col(json("body"))
            .to_owned();
        let tariff = table("tariff")
            .col(key())
            .col(text("name"))
            .col(number("version"))
            .col(text("currency"))
            .col(json("body"))
            .to_owned();
        let vehicle = table("vehicle")
            .col(key())
            .col(text("name"))
            .col(text("registration"))
            .col(id("depot_id"))
            .col(id("template_id"))
            .col(id("tariff_id"))
            // Equipment, additions, figures, kit and the like: read and written as one.
            .col(json("details"))
            .col(flag("active"))
            .col(text("digest"))
            .col(number("version"))
            .foreign_key(&mut refers("vehicle", "depot_id", "depot"))
            .foreign_key(&mut refers("vehicle", "template_id", "template"))
            .foreign_key(&mut refers("vehicle", "tariff_id", "tariff"))
            .to_owned();
        create(
            manager,
            vec![template, tariff, vehicle],
            vec![
                unique("template", &["layout", "version"]),
                unique("tariff", &["name", "version"]),
                unique("vehicle", &["registration"]),
                index("vehicle", &["depot_id", "name"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await
    }
}
