//! Connections and transactions.

use super::error::{StoreError, Stored};
use super::frozen::Frozen;
use handsel_migrations::Migrator;
use sea_orm::{
    ConnectOptions, Database, DatabaseConnection, DatabaseTransaction, DbBackend, SqliteTransactionMode,
    TransactionOptions, TransactionTrait,
};
use sea_orm_migration::MigratorTrait;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{Mutex, OwnedMutexGuard};

/// How long SQLite waits for another process's write to end.
const BUSY: Duration = Duration::from_secs(10);

/// The database.
#[derive(Clone, Debug)]
pub struct Store {
    db: DatabaseConnection,
    /// SQLite writes one at a time: taking turns here is fairer than waiting on its lock.
    turn: Option<Arc<Mutex<()>>>,
    frozen: Arc<Frozen>,
}

/// A transaction. Dropped without [`Tx::commit`], it changes nothing.
#[derive(Debug)]
pub struct Tx {
    inner: DatabaseTransaction,
    frozen: Arc<Frozen>,
    _turn: Option<OwnedMutexGuard<()>>,
}

impl Store {
    /// Connects to `sqlite://…` or `postgres://…` and brings the schema up to date.
    ///
    /// # Errors
    /// The database cannot be reached, or a step of the schema fails.
    pub async fn open(url: &str) -> Stored<Self> {
        let mut options = ConnectOptions::new(url);
        options.sqlx_logging(false).acquire_timeout(Duration::from_secs(10)).max_connections(10);
        options.map_sqlx_sqlite_opts(|sqlite| {
            sqlite
                .create_if_missing(true)
                .foreign_keys(true)
                .busy_timeout(BUSY)
                .pragma("journal_mode", "WAL")
                .pragma("synchronous", "FULL")
        });
        let db = Database::connect(options).await?;
        Migrator::up(&db, None).await?;
        let turn = (db.get_database_backend() == DbBackend::Sqlite).then(|| Arc::new(Mutex::new(())));
        Ok(Self { db, turn, frozen: Arc::default() })
    }

    /// A transaction that only reads.
    ///
    /// # Errors
    /// The database cannot be reached.
    pub async fn read(&self) -> Stored<Tx> {
        Ok(Tx { inner: self.db.begin().await?, frozen: Arc::clone(&self.frozen), _turn: None })
    }

    /// A transaction that writes. On SQLite it holds the write lock from its start, so that what it read cannot have
    /// changed when it writes.
    ///
    /// # Errors
    /// The database cannot be reached, or stays locked.
    pub async fn write(&self) -> Stored<Tx> {
        let turn = match &self.turn {
            Some(turn) => Some(Arc::clone(turn).lock_owned().await),
            None => None,
        };
        let sqlite_transaction_mode = turn.is_some().then_some(SqliteTransactionMode::Immediate);
        let options = TransactionOptions { sqlite_transaction_mode, ..TransactionOptions::default() };
        let inner = self.db.begin_with_options(options).await?;
        Ok(Tx { inner, frozen: Arc::clone(&self.frozen), _turn: turn })
    }

    /// Whether the database answers.
    ///
    /// # Errors
    /// It does not.
    pub async fn ping(&self) -> Stored<()> {
        Ok(self.db.ping().await?)
    }

    /// Ends every connection.
    ///
    /// # Errors
    /// A connection does not end cleanly.
    pub async fn close(self) -> Stored<()> {
        Ok(self.db.close().await?)
    }
}

impl Tx {
    pub(super) const fn conn(&self) -> &DatabaseTransaction {
        &self.inner
    }

    pub(super) fn frozen(&self) -> &Frozen {
        &self.frozen
    }

    /// Makes everything done in it stay.
    ///
    /// # Errors
    /// The database cannot make it stay; then nothing does.
    pub async fn commit(self) -> Result<(), StoreError> {
        Ok(self.inner.commit().await?)
    }
}
