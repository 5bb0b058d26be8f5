//! Hires and who drives.

use crate::columns::{Optional, create, drop, flag, id, index, json, key, moment, number, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["hire", "driver"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let hire = table("hire")
            .col(key())
            .col(text("reference"))
            .col(id("depot_id"))
            .col(id("vehicle_id"))
            .col(id("tariff_id"))
            .col(text("status"))
            .col(moment("agreed_departure"))
            .col(moment("agreed_return"))
            .col(moment("due_back"))
            .col(json("extensions"))
            .col(text("currency"))
            .col(number("excess_minor"))
            .col(number("deposit_minor"))
            .col(text("deposit_means"))
            .col(json("outside_excess"))
            .col(flag("new_to_layout"))
            .col(flag("pets"))
            .col(flag("trailer"))
            .col(json("trips"))
            .col(json("odometer_replacement").optional())
            .col(moment("departed_at").optional())
            .col(moment("returned_at").optional())
            .col(moment("settled_at").optional())
            .col(moment("cancelled_at").optional())
            .col(text("cancel_reason").optional())
            .col(text("digest"))
            .col(number("version"))
            .foreign_key(&mut refers("hire", "depot_id", "depot"))
            .foreign_key(&mut refers("hire", "vehicle_id", "vehicle"))
            .foreign_key(&mut refers("hire", "tariff_id", "tariff"))
            .to_owned();
        let driver = table("driver")
            .col(key())
            .col(id("hire_id"))
            .col(number("position"))
            .col(text("name"))
            .col(text("email"))
            .col(text("phone"))
            .col(flag("lead"))
            .foreign_key(&mut refers("driver", "hire_id", "hire"))
            .to_owned();
        create(
            manager,
            vec![hire, driver],
            vec![
                unique("hire", &["reference"]),
                index("hire", &["depot_id", "status", "agreed_departure"]),
                index("hire", &["vehicle_id", "status"]),
                index("driver", &["hire_id", "position"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await
    }
}
