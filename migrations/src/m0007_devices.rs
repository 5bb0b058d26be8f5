//! What comes from devices: their operations, photographs announced before their bytes, bytes on their way, seals and
//! what is added after them. Everything that is added to a table may be empty, so that the step before can go on
//! writing while this one is brought in.

use crate::columns::{
    Optional, add, create, drop, flag, id, index, json, key, moment, number, refers, remove, table, text, unique,
};
use sea_orm_migration::prelude::{
    ConnectionTrait, DbErr, DeriveMigrationName, ForeignKeyAction, Index, MigrationTrait, SchemaManager, async_trait,
};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["device", "operation", "upload", "seal", "seal_dispute", "addendum"];

/// Photographs that are here have arrived.
const ARRIVED: &str = "UPDATE \"photo\" SET \"arrived_at\" = \"received_at\"";

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        add(manager, "photo", moment("arrived_at").optional()).await?;
        add(manager, "entry", json("replaces").optional()).await?;
        add(manager, "signature", text("record_sha256").optional()).await?;
        manager.get_connection().execute_unprepared(ARRIVED).await?;
        let device =
            table("device").col(key()).col(number("handled")).col(moment("first_at")).col(moment("last_at")).to_owned();
        let operation = table("operation")
            .col(key())
            .col(id("device_id"))
            .col(number("sequence"))
            // Not a reference: what was refused may name an inspection that is not there.
            .col(id("inspection_id"))
            .col(id("staff_id"))
            .col(id("author_id").optional())
            .col(moment("done_at"))
            .col(moment("received_at"))
            .col(text("content_sha256"))
            // Empty: it was applied.
            .col(json("refusal").optional())
            .foreign_key(&mut refers("operation", "device_id", "device"))
            .foreign_key(&mut refers("operation", "staff_id", "staff"))
            .to_owned();
        let upload = table("upload")
            .col(key())
            .col(id("photo_id"))
            .col(number("length"))
            .col(flag("finished"))
            .col(moment("created_at"))
            .col(moment("expires_at"))
            .foreign_key(refers("upload", "photo_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .to_owned();
        let seal = table("seal")
            .col(id("inspection_id").primary_key().to_owned())
            .col(id("vehicle_id"))
            // Seals of one vehicle count up from 1: two that followed the same one would have the same number.
            .col(number("number"))
            .col(text("record"))
            .col(text("record_sha256"))
            .col(text("document"))
            .col(text("sha256"))
            .col(text("signature"))
            .col(text("key_id"))
            .col(text("public_key"))
            .col(text("previous").optional())
            .col(moment("sealed_at"))
            .foreign_key(&mut refers("seal", "inspection_id", "inspection"))
            .foreign_key(&mut refers("seal", "vehicle_id", "vehicle"))
            .to_owned();
        let seal_dispute = table("seal_dispute")
            .col(key())
            .col(id("inspection_id"))
            .col(id("staff_id"))
            .col(moment("at"))
            // As the device sent it; empty when it sent its hash only.
            .col(json("device_record").optional())
            .col(json("device_hashes"))
            .col(text("server_record"))
            .col(text("server_sha256"))
            .foreign_key(&mut refers("seal_dispute", "inspection_id", "inspection"))
            .foreign_key(&mut refers("seal_dispute", "staff_id", "staff"))
            .to_owned();
        let addendum = table("addendum")
            .col(key())
            .col(id("inspection_id"))
            .col(text("words"))
            .col(json("photos"))
            .col(moment("written_at"))
            .col(id("written_by"))
            .col(text("document"))
            .col(text("sha256"))
            .col(text("signature"))
            .col(text("key_id"))
            .col(text("public_key"))
            .col(moment("received_at"))
            .col(text("digest"))
            .foreign_key(&mut refers("addendum", "inspection_id", "inspection"))
            .foreign_key(&mut refers("addendum", "written_by", "staff"))
            .to_owned();
        create(
            manager,
            vec![device, operation, upload, seal, seal_dispute, addendum],
            vec![
                unique("operation", &["device_id", "sequence"]),
                index("operation", &["inspection_id"]),
                index("upload", &["photo_id"]),
                index("upload", &["expires_at"]),
                unique("seal", &["vehicle_id", "number"]),
                index("seal_dispute", &["inspection_id"]),
                index("addendum", &["inspection_id"]),
                index("idempotency", &["at"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_index(Index::drop().name("idempotency_by_at").table("idempotency").to_owned()).await?;
        drop(manager, TABLES).await?;
        remove(manager, "signature", "record_sha256").await?;
        remove(manager, "entry", "replaces").await?;
        remove(manager, "photo", "arrived_at").await
    }
}
