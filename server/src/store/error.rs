//! What can go wrong with the database.

use sea_orm::{DbErr, SqlErr};
use std::fmt;

/// A failure of the store. Everything but a taken value is the server's own trouble.
#[derive(Debug)]
pub enum StoreError {
    /// A value that must be unique is there already; the database's words name which.
    Taken(String),
    /// A row cannot be read as what it should be.
    Damaged(String),
    /// So many steps of the schema are missing.
    Behind(usize),
    Database(DbErr),
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Taken(words) => write!(f, "already taken: {words}"),
            Self::Damaged(words) => write!(f, "damaged row: {words}"),
            Self::Behind(steps) => write!(
                f,
                "the database lacks {steps} steps of this program's schema: use the program that serves it, or let this \
                 one serve it first"
            ),
            Self::Database(error) => write!(f, "database: {error}"),
        }
    }
}

impl std::error::Error for StoreError {}

impl From<DbErr> for StoreError {
    fn from(error: DbErr) -> Self {
        match error.sql_err() {
            Some(SqlErr::UniqueConstraintViolation(words)) => Self::Taken(words),
            _ => Self::Database(error),
        }
    }
}

impl StoreError {
    /// Whether a unique value is taken, and the database names this column or its index.
    #[must_use]
    pub fn is_taken(&self, column: &str) -> bool {
        matches!(self, Self::Taken(words) if words.contains(column))
    }
}

pub(super) type Stored<T> = Result<T, StoreError>;
