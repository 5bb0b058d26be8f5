//! Depots, staff and their sessions, and the answers kept for repeated requests.

use crate::columns::{Optional, create, drop, flag, id, index, key, moment, number, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, Index, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["depot", "staff", "refresh_token", "login_failure", "idempotency"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let depot = table("depot")
            .col(key())
            .col(text("name"))
            .col(text("zone"))
            .col(text("address"))
            .col(text("phone"))
            .col(text("digest"))
            .col(number("version"))
            .to_owned();
        let staff = table("staff")
            .col(key())
            .col(text("email"))
            .col(text("name"))
            .col(text("role"))
            .col(id("depot_id").optional())
            .col(flag("active"))
            .col(text("password_hash"))
            .col(text("digest"))
            .col(number("version"))
            .foreign_key(&mut refers("staff", "depot_id", "depot"))
            .to_owned();
        let refresh_token = table("refresh_token")
            .col(key())
            .col(id("family"))
            .col(id("staff_id"))
            .col(text("token_hash"))
            .col(moment("issued_at"))
            .col(moment("expires_at"))
            .col(moment("used_at").optional())
            .col(moment("revoked_at").optional())
            .foreign_key(&mut refers("refresh_token", "staff_id", "staff"))
            .to_owned();
        let login_failure = table("login_failure").col(key()).col(text("email")).col(moment("at")).to_owned();
        let idempotency = table("idempotency")
            .col(id("staff_id"))
            .col(text("key"))
            .col(text("digest"))
            .col(text("body").optional())
            .col(number("answer_version").optional())
            .col(moment("at"))
            .primary_key(Index::create().col("staff_id").col("key"))
            .foreign_key(&mut refers("idempotency", "staff_id", "staff"))
            .to_owned();
        create(
            manager,
            vec![depot, staff, refresh_token, login_failure, idempotency],
            vec![
                unique("staff", &["email"]),
                unique("refresh_token", &["token_hash"]),
                index("refresh_token", &["family"]),
                index("refresh_token", &["staff_id"]),
                index("login_failure", &["email", "at"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await
    }
}
