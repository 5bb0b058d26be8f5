//! Decisions and movements. Both are only ever added to: the database itself refuses an edit.

use crate::columns::{Optional, create, drop, id, key, moment, number, quoted, refers, table, text, unique};
use sea_orm_migration::prelude::{DbErr, DeriveMigrationName, MigrationTrait, SchemaManager, async_trait};
use sea_orm_migration::sea_orm::{ConnectionTrait, DbBackend};

#[derive(DeriveMigrationName)]
pub(crate) struct Step;

const TABLES: &[&str] = &["decision", "movement"];

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let decision = table("decision")
            .col(key())
            .col(id("hire_id"))
            .col(number("position"))
            .col(text("line"))
            .col(text("verdict"))
            .col(number("amount_minor").optional())
            .col(text("currency").optional())
            .col(text("reason").optional())
            .col(id("by"))
            .col(moment("at"))
            .foreign_key(&mut refers("decision", "hire_id", "hire"))
            .foreign_key(&mut refers("decision", "by", "staff"))
            .to_owned();
        let movement = table("movement")
            .col(key())
            .col(id("hire_id"))
            .col(number("position"))
            .col(text("kind"))
            .col(text("means"))
            .col(number("amount_minor"))
            .col(text("currency"))
            .col(text("reference").optional())
            .col(text("note").optional())
            .col(moment("hold_ends_at").optional())
            .col(id("by"))
            .col(moment("at"))
            .foreign_key(&mut refers("movement", "hire_id", "hire"))
            .foreign_key(&mut refers("movement", "by", "staff"))
            .to_owned();
        create(
            manager,
            vec![decision, movement],
            vec![unique("decision", &["hire_id", "position"]), unique("movement", &["hire_id", "position"])],
        )
        .await?;
        for table in TABLES {
            for statement in only_added_to(manager.get_database_backend(), table) {
                manager.get_connection().execute_unprepared(&statement).await?;
            }
        }
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop(manager, TABLES).await?;
        if manager.get_database_backend() == DbBackend::Postgres {
            for table in TABLES {
                let function = quoted(&format!("{table}_only_added_to"));
                manager.get_connection().execute_unprepared(&format!("DROP FUNCTION {function}()")).await?;
            }
        }
        Ok(())
    }
}

/// Triggers that refuse changing or deleting a row.
fn only_added_to(backend: DbBackend, table: &str) -> Vec<String> {
    let on = quoted(table);
    if backend == DbBackend::Postgres {
        let function = quoted(&format!("{table}_only_added_to"));
        let trigger = quoted(&format!("{table}_kept"));
        return vec![
            format!(
                "CREATE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS \
                 $$ BEGIN RAISE EXCEPTION 'rows of {table} are only ever added'; END $$"
            ),
            format!(
                "CREATE TRIGGER {trigger} BEFORE UPDATE OR DELETE ON {on} \
                 FOR EACH ROW EXECUTE FUNCTION {function}()"
            ),
        ];
    }
    ["UPDATE", "DELETE"]
        .iter()
        .map(|deed| {
            let trigger = quoted(&format!("{table}_kept_from_{}", deed.to_lowercase()));
            format!(
                "CREATE TRIGGER {trigger} BEFORE {deed} ON {on} \
                 BEGIN SELECT RAISE(ABORT, 'rows of {table} are only ever added'); END"
            )
        })
        .collect()
}
