//! The bank: files that were read in, their entries, and what each was matched with.

use crate::columns::{Optional, create, drop, flag, id, index, json, key, moment, number, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["bank_import", "bank_entry", "bank_match"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let import = table("bank_import")
            .col(key())
            .col(text("name"))
            .col(text("sha256"))
            .col(text("format"))
            .col(text("version").optional())
            .col(json("accounts"))
            .col(number("entries"))
            .col(number("read"))
            .col(number("added"))
            .col(number("pending"))
            .col(text("state"))
            .col(text("reason").optional())
            .col(id("by"))
            .col(moment("at"))
            .col(moment("ended_at").optional())
            .foreign_key(&mut refers("bank_import", "by", "staff"))
            .to_owned();
        let entry = table("bank_entry")
            .col(key())
            .col(id("import_id"))
            // The same for the same entry in whatever file it comes: read in once.
            .col(text("identity"))
            .col(text("account"))
            .col(number("amount_minor"))
            .col(text("currency"))
            .col(flag("reversal"))
            // Days of the bank's calendar, as text that sorts.
            .col(text("booked_on"))
            .col(text("value_on").optional())
            .col(text("bank_reference").optional())
            .col(json("references"))
            .col(text("party").optional())
            .col(text("words"))
            // `open`, `matched` or `aside`.
            .col(text("state"))
            .col(text("aside_reason").optional())
            .foreign_key(&mut refers("bank_entry", "import_id", "bank_import"))
            .to_owned();
        let matched = table("bank_match")
            .col(id("entry_id").primary_key().to_owned())
            .col(id("movement_id"))
            .col(id("hire_id"))
            .col(text("means"))
            .col(id("by").optional())
            .col(moment("at"))
            .foreign_key(&mut refers("bank_match", "entry_id", "bank_entry"))
            .foreign_key(&mut refers("bank_match", "movement_id", "movement"))
            .foreign_key(&mut refers("bank_match", "hire_id", "hire"))
            .to_owned();
        create(
            manager,
            vec![import, entry, matched],
            vec![
                index("bank_import", &["sha256"]),
                unique("bank_entry", &["identity"]),
                index("bank_entry", &["state", "booked_on", "id"]),
                index("bank_entry", &["import_id"]),
                index("bank_entry", &["amount_minor"]),
                // Each movement is seen at the bank once.
                unique("bank_match", &["movement_id"]),
                index("bank_match", &["hire_id"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await
    }
}
