//! Logs: lines for people, or JSON for machines. `HANDSEL_LOG` filters (`info`, `handsel=debug`), `HANDSEL_LOG_JSON=1`
//! writes JSON.

use tracing_subscriber::EnvFilter;

/// Starts logging; the second call in one process does nothing.
pub fn start(filter: Option<&str>, json: bool) {
    let filter = EnvFilter::new(filter.unwrap_or("info,sqlx=warn,sea_orm_migration=warn"));
    let lines = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    let started = if json { lines.json().try_init() } else { lines.compact().try_init() };
    if let Err(error) = started {
        tracing::debug!("logging was started before: {error}");
    }
}
