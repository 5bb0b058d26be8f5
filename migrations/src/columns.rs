//! Columns as this schema writes them: the same few types everywhere, so that both databases keep the same values.

use sea_orm_migration::prelude::{
    Alias, ColumnDef, DbErr, ForeignKey, ForeignKeyAction, ForeignKeyCreateStatement, Index, IndexCreateStatement,
    SchemaManager, Table, TableCreateStatement,
};

pub(crate) fn name(text: &str) -> Alias {
    Alias::new(text)
}

pub(crate) fn table(text: &str) -> TableCreateStatement {
    Table::create().table(name(text)).to_owned()
}

pub(crate) fn id(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).uuid().not_null().to_owned()
}

pub(crate) fn key() -> ColumnDef {
    id("id").primary_key().to_owned()
}

pub(crate) fn text(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).text().not_null().to_owned()
}

pub(crate) fn number(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).big_integer().not_null().to_owned()
}

/// A measured figure.
pub(crate) fn real(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).double().not_null().to_owned()
}

pub(crate) fn flag(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).boolean().not_null().to_owned()
}

/// A moment in UTC.
pub(crate) fn moment(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).timestamp_with_time_zone().not_null().to_owned()
}

/// A whole document, or a list that is only ever read as one.
pub(crate) fn json(text: &str) -> ColumnDef {
    ColumnDef::new(name(text)).json_binary().not_null().to_owned()
}

/// The same column, but it may be empty.
pub(crate) trait Optional {
    fn optional(self) -> ColumnDef;
}

impl Optional for ColumnDef {
    fn optional(mut self) -> ColumnDef {
        self.null().to_owned()
    }
}

/// A reference that keeps what it refers to from being deleted.
pub(crate) fn refers(from_table: &str, column: &str, to_table: &str) -> ForeignKeyCreateStatement {
    ForeignKey::create()
        .from(name(from_table), name(column))
        .to(name(to_table), name("id"))
        .on_delete(ForeignKeyAction::Restrict)
        .to_owned()
}

pub(crate) fn unique(table: &str, columns: &[&str]) -> IndexCreateStatement {
    index(table, columns).unique().to_owned()
}

pub(crate) fn index(table: &str, columns: &[&str]) -> IndexCreateStatement {
    let mut index = Index::create().name(format!("{table}_by_{}", columns.join("_"))).table(name(table)).to_owned();
    for column in columns {
        index.col(name(column));
    }
    index
}

pub(crate) async fn create(
    manager: &SchemaManager<'_>,
    tables: Vec<TableCreateStatement>,
    indexes: Vec<IndexCreateStatement>,
) -> Result<(), DbErr> {
    for table in tables {
        manager.create_table(table).await?;
    }
    for index in indexes {
        manager.create_index(index).await?;
    }
    Ok(())
}

pub(crate) async fn drop(manager: &SchemaManager<'_>, tables: &[&str]) -> Result<(), DbErr> {
    for table in tables.iter().rev() {
        manager.drop_table(Table::drop().table(name(table)).to_owned()).await?;
    }
    Ok(())
}

/// The quoted name, for statements no builder writes.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{text}\"")
}

/// Adds a column to a table that is there.
pub(crate) async fn add(manager: &SchemaManager<'_>, to: &str, column: ColumnDef) -> Result<(), DbErr> {
    manager.alter_table(Table::alter().table(name(to)).add_column(column).to_owned()).await
}

pub(crate) async fn remove(manager: &SchemaManager<'_>, from: &str, column: &str) -> Result<(), DbErr> {
    manager.alter_table(Table::alter().table(name(from)).drop_column(name(column)).to_owned()).await
}
