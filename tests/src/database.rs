use sea_orm::{ConnectOptions, ConnectionTrait, Database, DatabaseConnection, DbBackend, Statement};
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

static NEXT: AtomicU32 = AtomicU32::new(0);

/// Which database a test runs on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    Sqlite,
    /// A cluster's address, with a database to connect to first.
    Postgres(String),
}

impl Kind {
    /// PostgreSQL, where the environment says where one is.
    #[must_use]
    pub fn postgres() -> Option<Self> {
        std::env::var("HANDSEL_TEST_POSTGRES").ok().filter(|url| !url.is_empty()).map(Self::Postgres)
    }

    /// The address of a fresh, empty database.
    pub(crate) async fn fresh(&self, dir: &Path) -> String {
        match self {
            Self::Sqlite => format!("sqlite://{}?mode=rwc", dir.join("test.db").display()),
            Self::Postgres(url) => {
                let name = format!("handsel_{}_{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
                run(url, &format!("CREATE DATABASE {name}")).await;
                with_name(url, &name)
            }
        }
    }

    /// Drops what [`Self::fresh`] made, on a runtime of its own: the test's may be ending.
    pub(crate) fn drop_apart(&self, fresh: &str) {
        if matches!(self, Self::Sqlite) {
            return;
        }
        let (kind, url) = (self.clone(), fresh.to_owned());
        let dropped = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
            runtime.block_on(kind.drop(&url));
        });
        if dropped.join().is_err() {
            eprintln!("{fresh} was left behind");
        }
    }

    /// Drops what [`Self::fresh`] made.
    async fn drop(&self, fresh: &str) {
        if let Self::Postgres(url) = self {
            let name = fresh.split('?').next().and_then(|u| u.rsplit('/').next()).expect("a database name");
            run(url, &format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)")).await;
        }
    }
}

fn with_name(url: &str, name: &str) -> String {
    let (address, query) = url.split_once('?').map_or((url, None), |(a, q)| (a, Some(q)));
    let (server, _) = address.rsplit_once('/').expect("an address ending in a database");
    query.map_or_else(|| format!("{server}/{name}"), |q| format!("{server}/{name}?{q}"))
}

/// A connection beside the server's.
pub async fn connect(url: &str) -> DatabaseConnection {
    let mut options = ConnectOptions::new(url);
    // As the server has it: the task that ends old connections can hold a test's thread for ever.
    options.sqlx_logging(false).idle_timeout(None::<Duration>).max_lifetime(None::<Duration>);
    Database::connect(options).await.expect("the database")
}

pub(crate) async fn run(url: &str, statement: &str) {
    let db = connect(url).await;
    db.execute_unprepared(statement).await.expect(statement);
    db.close().await.expect("closed");
}

/// The one number a statement asks for.
pub(crate) async fn count(url: &str, statement: &str) -> i64 {
    let db = connect(url).await;
    let backend = db.get_database_backend();
    assert!(matches!(backend, DbBackend::Sqlite | DbBackend::Postgres));
    let asked = Statement::from_string(backend, statement.to_owned());
    let row = db.query_one_raw(asked).await.expect(statement).expect("a row");
    let count = row.try_get_by_index(0).expect("a number");
    db.close().await.expect("closed");
    count
}
