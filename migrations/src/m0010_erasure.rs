//! Erasing personal data after its time, and what is kept as proof that nothing else was touched.

use crate::columns::{Optional, add, create, drop, id, moment, refers, remove, table, text};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["erasure"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        add(manager, "hire", moment("erased_at").optional()).await?;
        let erasure = table("erasure")
            .col(id("hire_id").primary_key().to_owned())
            .col(moment("at"))
            // What is signed: which seals lost their content, by their hashes.
            .col(text("document"))
            .col(text("sha256"))
            .col(text("signature"))
            .col(text("key_id"))
            .col(text("public_key"))
            .foreign_key(&mut refers("erasure", "hire_id", "hire"))
            .to_owned();
        create(manager, vec![erasure], Vec::new()).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await?;
        remove(manager, "hire", "erased_at").await
    }
}
