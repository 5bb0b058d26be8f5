//! Inspections and everything recorded on them.

use crate::columns::{Optional, create, drop, id, index, json, key, moment, number, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, Index, MigrationTrait, SchemaManager, async_trait};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["inspection", "entry", "photo", "mark", "sighting", "briefing", "signature"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let inspection = table("inspection")
            .col(key())
            .col(id("hire_id"))
            .col(id("vehicle_id"))
            .col(text("leg"))
            .col(id("template_id"))
            .col(moment("started_at"))
            .col(id("started_by"))
            .col(json("clocks").optional())
            .col(moment("handed_over_at").optional())
            .col(json("absence").optional())
            .col(moment("signed_at").optional())
            .col(id("signed_by").optional())
            .col(json("fitted"))
            .col(json("register").optional())
            .col(text("digest"))
            .col(number("version"))
            .foreign_key(&mut refers("inspection", "hire_id", "hire"))
            .foreign_key(&mut refers("inspection", "vehicle_id", "vehicle"))
            .foreign_key(&mut refers("inspection", "template_id", "template"))
            .foreign_key(&mut refers("inspection", "started_by", "staff"))
            .to_owned();
        let entry = table("entry")
            .col(key())
            .col(id("inspection_id"))
            .col(number("position"))
            .col(text("checkpoint"))
            .col(json("answer"))
            .col(json("photos"))
            .col(text("note").optional())
            .col(moment("recorded_at"))
            .col(id("recorded_by"))
            .col(text("digest"))
            .foreign_key(&mut refers("entry", "inspection_id", "inspection"))
            .to_owned();
        let photo = table("photo")
            .col(key())
            .col(id("inspection_id"))
            .col(text("sha256"))
            .col(text("media_type"))
            .col(json("subject"))
            .col(moment("taken_at"))
            .col(moment("received_at"))
            .col(number("width"))
            .col(number("height"))
            .col(number("bytes"))
            .foreign_key(&mut refers("photo", "inspection_id", "inspection"))
            .to_owned();
        let mark = table("mark")
            .col(key())
            .col(id("vehicle_id"))
            .col(id("inspection_id"))
            .col(text("panel"))
            .col(text("kind"))
            .col(number("size_mm"))
            .col(text("depth"))
            .col(text("viewpoint"))
            .col(text("x"))
            .col(text("y"))
            .col(json("photos"))
            .col(text("note").optional())
            .col(moment("recorded_at"))
            .col(moment("joined_at").optional())
            .col(moment("repaired_at").optional())
            .col(text("repair_note").optional())
            .col(id("repaired_by").optional())
            .col(text("digest"))
            .foreign_key(&mut refers("mark", "vehicle_id", "vehicle"))
            .foreign_key(&mut refers("mark", "inspection_id", "inspection"))
            .to_owned();
        let sighting = table("sighting")
            .col(id("inspection_id"))
            .col(id("mark_id"))
            .col(number("size_mm"))
            .col(json("photos"))
            .col(text("note").optional())
            .col(moment("seen_at"))
            .primary_key(Index::create().col("inspection_id").col("mark_id"))
            .foreign_key(&mut refers("sighting", "inspection_id", "inspection"))
            .foreign_key(&mut refers("sighting", "mark_id", "mark"))
            .to_owned();
        let briefing = table("briefing")
            .col(id("inspection_id"))
            .col(text("topic"))
            .col(moment("shown_at").optional())
            .col(moment("acknowledged_at").optional())
            .col(json("overridden").optional())
            .primary_key(Index::create().col("inspection_id").col("topic"))
            .foreign_key(&mut refers("briefing", "inspection_id", "inspection"))
            .to_owned();
        let signature = table("signature")
            .col(id("inspection_id"))
            .col(text("role"))
            .col(text("name"))
            .col(json("strokes"))
            .col(text("strokes_sha256"))
            .col(moment("signed_at"))
            .col(moment("received_at"))
            .primary_key(Index::create().col("inspection_id").col("role"))
            .foreign_key(&mut refers("signature", "inspection_id", "inspection"))
            .to_owned();
        create(
            manager,
            vec![inspection, entry, photo, mark, sighting, briefing, signature],
            vec![
                unique("inspection", &["hire_id", "leg"]),
                index("inspection", &["template_id"]),
                unique("entry", &["inspection_id", "position"]),
                index("photo", &["inspection_id"]),
                index("mark", &["vehicle_id"]),
                index("mark", &["inspection_id"]),
                index("sighting", &["mark_id"]),
            ],
        )
        .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await
    }
}
