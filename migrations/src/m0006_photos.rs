//! Work that outlives a restart, what is found out about each photograph, and what is pointed at on it.

use crate::columns::{Optional, create, drop, id, index, json, moment, number, real, refers, table, text};
use sea_orm_migration::prelude::{
    ConnectionTrait, DbErr, DeriveMigrationName, ForeignKeyAction, Index, MigrationTrait, SchemaManager, async_trait,
};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["job", "photo_fact", "photo_repeat", "photo_pointing", "photo_disposition"];

/// Photographs that came before this step are looked at like any other.
const CATCH_UP: &str = "INSERT INTO \"job\" (\"kind\", \"subject\", \"state\", \"attempts\", \"next_at\") \
                        SELECT 'photo', \"id\", 'waiting', 0, \"received_at\" FROM \"photo\"";

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let job = table("job")
            .col(text("kind"))
            .col(id("subject"))
            .col(text("state"))
            .col(number("attempts"))
            .col(moment("next_at"))
            .col(moment("lease_until").optional())
            .col(text("reason").optional())
            .primary_key(Index::create().col("kind").col("subject"))
            .to_owned();
        // By content: the same bytes are looked at once, however often they were sent.
        let photo_fact = table("photo_fact")
            .col(text("sha256").primary_key().to_owned())
            .col(real("sharpness"))
            .col(real("sharpest"))
            .col(real("mean"))
            .col(real("dark_share"))
            .col(real("bright_share"))
            .col(text("fingerprint"))
            .col(number("band_0"))
            .col(number("band_1"))
            .col(number("band_2"))
            .col(number("band_3"))
            .col(moment("made_at"))
            .to_owned();
        let photo_repeat = table("photo_repeat")
            .col(id("photo_id"))
            .col(id("earlier_id"))
            .col(text("how"))
            .col(text("whose"))
            .primary_key(Index::create().col("photo_id").col("earlier_id"))
            .foreign_key(refers("photo_repeat", "photo_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .foreign_key(refers("photo_repeat", "earlier_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .to_owned();
        let photo_pointing = table("photo_pointing")
            .col(id("photo_id").primary_key().to_owned())
            .col(id("before_id"))
            .col(text("state"))
            .col(json("pointers"))
            .col(moment("made_at"))
            .foreign_key(refers("photo_pointing", "photo_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .foreign_key(refers("photo_pointing", "before_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .to_owned();
        let photo_disposition = table("photo_disposition")
            .col(id("photo_id"))
            .col(id("pointer_id"))
            .col(text("disposition"))
            .col(id("mark_id").optional())
            .col(id("staff_id"))
            .col(moment("at"))
            .primary_key(Index::create().col("photo_id").col("pointer_id"))
            .foreign_key(refers("photo_disposition", "photo_id", "photo").on_delete(ForeignKeyAction::Cascade))
            .foreign_key(&mut refers("photo_disposition", "staff_id", "staff"))
            .to_owned();
        create(
            manager,
            vec![job, photo_fact, photo_repeat, photo_pointing, photo_disposition],
            vec![
                index("job", &["state", "next_at"]),
                index("photo", &["sha256"]),
                index("photo_fact", &["band_0"]),
                index("photo_fact", &["band_1"]),
                index("photo_fact", &["band_2"]),
                index("photo_fact", &["band_3"]),
            ],
        )
        .await?;
        manager.get_connection().execute_unprepared(CATCH_UP).await?;
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_index(Index::drop().name("photo_by_sha256").table("photo").to_owned()).await?;
        drop(manager, TABLES).await
    }
}
