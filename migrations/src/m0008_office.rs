//! The office: where each return stands, links for hirers and what they dispute through them, and letters and
//! notices on their way out.

use crate::columns::{
    Optional, add, create, drop, flag, id, index, json, key, moment, number, refers, remove, table, text,
};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["standing", "link", "dispute_photo", "dispute", "letter", "notice"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        // Reckoned from the rest and written with it, so that a list of thousands need not be reckoned anew.
        let standing = table("standing")
            .col(id("hire_id").primary_key().to_owned())
            .col(id("depot_id"))
            .col(flag("waiting"))
            .col(moment("promised_at").optional())
            .col(number("open_lines"))
            .col(number("weak_lines"))
            .col(number("held_lines"))
            .col(number("open_estimates"))
            .col(number("open_disputes"))
            .col(text("currency"))
            .col(number("charged_minor"))
            .col(number("undecided_minor"))
            .col(number("held_minor"))
            .col(number("held_card_minor"))
            .col(number("outstanding_minor"))
            .col(moment("hold_ends_at").optional())
            // What reports add up; empty before the return.
            .col(moment("returned_at").optional())
            .col(json("facts").optional())
            .col(moment("reckoned_at"))
            .foreign_key(&mut refers("standing", "hire_id", "hire"))
            .foreign_key(&mut refers("standing", "depot_id", "depot"))
            .to_owned();
        let link = table("link")
            .col(key())
            .col(id("hire_id"))
            .col(text("lang"))
            .col(moment("issued_at"))
            .col(id("issued_by"))
            .col(moment("expires_at"))
            .col(moment("revoked_at").optional())
            .col(id("revoked_by").optional())
            .col(moment("opened_at").optional())
            .foreign_key(&mut refers("link", "hire_id", "hire"))
            .foreign_key(&mut refers("link", "issued_by", "staff"))
            .to_owned();
        let dispute_photo = table("dispute_photo")
            .col(key())
            .col(id("hire_id"))
            .col(id("link_id"))
            .col(text("sha256"))
            .col(text("media_type"))
            .col(number("bytes"))
            .col(moment("received_at"))
            .foreign_key(&mut refers("dispute_photo", "hire_id", "hire"))
            .foreign_key(&mut refers("dispute_photo", "link_id", "link"))
            .to_owned();
        let dispute = table("dispute")
            .col(key())
            .col(id("hire_id"))
            .col(id("link_id"))
            .col(text("line"))
            // What was charged for the line, or proposed, when it was disputed.
            .col(number("amount_minor"))
            .col(text("currency"))
            .col(text("words"))
            .col(json("photos"))
            .col(moment("raised_at"))
            // Raised after the settlement was closed: what follows is a further entry, not another decision.
            .col(flag("after_settlement"))
            .col(text("outcome").optional())
            .col(text("answer").optional())
            .col(moment("answered_at").optional())
            .col(id("answered_by").optional())
            .foreign_key(&mut refers("dispute", "hire_id", "hire"))
            .foreign_key(&mut refers("dispute", "link_id", "link"))
            .to_owned();
        let letter = table("letter")
            .col(key())
            .col(id("hire_id"))
            .col(text("kind"))
            .col(text("recipient"))
            .col(text("subject"))
            .col(text("body"))
            .col(moment("written_at"))
            .col(moment("sent_at").optional())
            .foreign_key(&mut refers("letter", "hire_id", "hire"))
            .to_owned();
        let notice = table("notice")
            .col(key())
            .col(id("hire_id"))
            .col(text("kind"))
            .col(json("body"))
            .col(moment("at"))
            .col(moment("delivered_at").optional())
            .foreign_key(&mut refers("notice", "hire_id", "hire"))
            .to_owned();
        add(manager, "movement", text("payer").optional()).await?;
        create(
            manager,
            vec![standing, link, dispute_photo, dispute, letter, notice],
            vec![
                index("standing", &["waiting", "promised_at", "hire_id"]),
                index("standing", &["hold_ends_at"]),
                index("standing", &["returned_at"]),
                index("link", &["hire_id"]),
                index("dispute_photo", &["hire_id"]),
                index("dispute", &["hire_id"]),
                index("letter", &["hire_id"]),
                index("notice", &["hire_id"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await?;
        remove(manager, "movement", "payer").await
    }
}
