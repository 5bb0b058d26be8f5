//! Connections and transactions.

use super::error::{StoreError, Stored};
use super::frozen::Frozen;
use handsel_migrations::Migrator;
use sea_orm::{
    AccessMode, ConnectOptions, Database, DatabaseConnection, DatabaseTransaction, DbBackend, IsolationLevel,
    SqliteTransactionMode, TransactionOptions, TransactionTrait,
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
        let store = Self::connect(url, true).await?;
        Migrator::up(&store.db, None).await?;
        Ok(store)
    }

    /// Connects to a database that is there already, and leaves its schema alone.
    ///
    /// # Errors
    /// The database cannot be reached, or its schema is another than this program's.
    pub async fn open_as_is(url: &str) -> Stored<Self> {
        let store = Self::connect(url, false).await?;
        match Migrator::get_pending_migrations_read_only(&store.db).await?.len() {
            0 => Ok(store),
            behind => Err(StoreError::Behind(behind)),
        }
    }

    async fn connect(url: &str, make: bool) -> Stored<Self> {
        let db = Database::connect(options(url, make)).await?;
        let turn = (db.get_database_backend() == DbBackend::Sqlite).then(|| Arc::new(Mutex::new(())));
        Ok(Self { db, turn, frozen: Arc::default() })
    }

    /// The last step of the schema this program knows.
    #[must_use]
    pub fn schema() -> String {
        Migrator::migrations().last().map(|step| step.name().to_owned()).unwrap_or_default()
    }

    /// Whether a step of the schema is one this program knows.
    #[must_use]
    pub fn knows(step: &str) -> bool {
        Migrator::migrations().iter().any(|known| known.name() == step)
    }

    /// A transaction that only reads.
    ///
    /// # Errors
    /// The database cannot be reached.
    pub async fn read(&self) -> Stored<Tx> {
        Ok(Tx { inner: self.db.begin().await?, frozen: Arc::clone(&self.frozen), _turn: None })
    }

    /// A transaction that only reads, and sees everything as it was at one moment, however long it takes.
    ///
    /// # Errors
    /// The database cannot be reached.
    pub async fn snapshot(&self) -> Stored<Tx> {
        // On SQLite every transaction is such a one.
        let options = (self.turn.is_none()).then_some(TransactionOptions {
            isolation_level: Some(IsolationLevel::RepeatableRead),
            access_mode: Some(AccessMode::ReadOnly),
            ..TransactionOptions::default()
        });
        let inner = self.db.begin_with_options(options.unwrap_or_default()).await?;
        Ok(Tx { inner, frozen: Arc::clone(&self.frozen), _turn: None })
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

fn options(url: &str, make: bool) -> ConnectOptions {
    let mut options = ConnectOptions::new(url);
    options.sqlx_logging(false).acquire_timeout(Duration::from_secs(10)).max_connections(10);
    // Connections are asked whether they are alive before they are used, and kept for good. The task of sqlx 0.9 that would
    // end old ones counts those that are free, and can count below zero; then it holds its thread for ever.
    options.idle_timeout(None::<Duration>).max_lifetime(None::<Duration>);
    options.map_sqlx_sqlite_opts(move |sqlite| {
        sqlite
            .create_if_missing(make)
            .foreign_keys(true)
            .busy_timeout(BUSY)
            .pragma("journal_mode", "WAL")
            .pragma("synchronous", "FULL")
    });
    options
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

#[cfg(test)]
mod tests {
    use super::options;

    #[test]
    fn no_task_ends_connections() {
        // sqlx begins one for either of these, and one that keeps some open.
        let options = options("sqlite://handsel.db", true);
        assert_eq!((options.get_idle_timeout(), options.get_max_lifetime()), (Some(None), Some(None)));
        assert_eq!(options.get_min_connections(), None);
    }
}
