//! Every row of one database into another that has the same schema and is empty, whichever kinds the two are: how a
//! backup is taken and how it comes back.

use super::entity;
use super::error::{StoreError, Stored};
use super::tx::Tx;
use futures_util::TryStreamExt;
use sea_orm::{ActiveModelTrait, DatabaseTransaction, EntityTrait, IntoActiveModel, PaginatorTrait};
use std::collections::BTreeMap;

/// Rows of each table.
pub type Rows = BTreeMap<String, u64>;

/// Rows written with one statement: SQLite takes 32,766 values in one, and the widest table has some thirty columns.
const TOGETHER: usize = 500;

/// Names each table once, in the order they were made: what a row refers to comes before it.
macro_rules! tables {
    ($($name:ident)+) => {
        #[cfg(test)]
        const TABLES: &[&str] = &[$(stringify!($name)),+];

        /// Copies every row.
        ///
        /// # Errors
        /// A row cannot be read, or is refused where it is to go; then nothing should be committed.
        pub async fn copy(from: &Tx, to: &Tx) -> Stored<Rows> {
            let mut rows = Rows::new();
            $({
                let count = table::<entity::$name::Entity, entity::$name::ActiveModel>(from.conn(), to.conn()).await?;
                rows.insert(stringify!($name).to_owned(), count);
            })+
            Ok(rows)
        }

        /// How many rows each table has.
        ///
        /// # Errors
        /// The database cannot be read.
        pub async fn count(tx: &Tx) -> Stored<Rows> {
            let mut rows = Rows::new();
            $(rows.insert(stringify!($name).to_owned(), entity::$name::Entity::find().count(tx.conn()).await?);)+
            Ok(rows)
        }
    };
}

tables! {
    depot staff refresh_token login_failure idempotency
    template tariff vehicle
    hire driver
    inspection entry photo mark sighting briefing signature
    decision movement
    job photo_fact photo_repeat photo_pointing photo_disposition
    device operation upload seal seal_dispute addendum
    standing link dispute_photo dispute letter notice
    bank_import bank_entry bank_match
    erasure
}

async fn table<E, A>(from: &DatabaseTransaction, to: &DatabaseTransaction) -> Stored<u64>
where
    E: EntityTrait,
    E::Model: IntoActiveModel<A>,
    A: ActiveModelTrait<Entity = E> + Send,
{
    let mut count = 0;
    let mut rows = E::find().stream(from).await?;
    let mut some: Vec<A> = Vec::with_capacity(TOGETHER);
    loop {
        let row = rows.try_next().await?;
        let ended = row.is_none();
        some.extend(row.map(IntoActiveModel::into_active_model));
        if some.len() == TOGETHER || (ended && !some.is_empty()) {
            count += u64::try_from(some.len()).map_err(|e| StoreError::Damaged(e.to_string()))?;
            E::insert_many(some.drain(..)).exec_without_returning(to).await?;
        }
        if ended {
            return Ok(count);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Store;
    use sea_orm::{ConnectionTrait, DbBackend, Statement};

    #[tokio::test]
    async fn no_table_is_left_out() {
        let dir = tempfile::TempDir::new().unwrap();
        let store = Store::open(&format!("sqlite://{}?mode=rwc", dir.path().join("a.db").display())).await.unwrap();
        let tx = store.read().await.unwrap();
        let asked = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' \
                     AND name <> 'seaql_migrations' ORDER BY name";
        let there = tx.conn().query_all_raw(Statement::from_string(DbBackend::Sqlite, asked)).await.unwrap();
        let there: Vec<String> = there.iter().map(|row| row.try_get_by_index(0).unwrap()).collect();
        let mut copied = TABLES.to_vec();
        copied.sort_unstable();
        assert_eq!(there, copied);
    }
}
