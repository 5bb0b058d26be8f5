//! What the HTTP tests stand on: a real server with its own database each, a clock that is set by hand, and helpers
//! that fill it through the API as people would.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking, and this is only used by tests"
)]

mod bucket;
mod client;
mod data;
mod database;
mod effects;
mod neighbours;
mod pictures;
mod process;
mod seed;
mod world;

pub use bucket::ObjectService;
pub use client::{Answer, Client};
pub use data::{SIGNATURE, depot, hire, money, staff, tariff, template, vehicle};
pub use database::{Kind, connect};
pub use effects::{Sequence, SetClock};
pub use neighbours::{MailServer, Told, ToldProgram, free_port};
pub use pictures::{GPS, SERIAL, fixture, fixtures, held, jpeg, segment, told};
pub use process::{Machine, Process, program};
pub use seed::{Seed, Walker};
pub use world::{MANAGER, PASSWORD, World, id};

/// Writes one test for each database: the same steps against SQLite, and against PostgreSQL where
/// `HANDSEL_TEST_POSTGRES` says where one is.
#[macro_export]
macro_rules! on_each_database {
    ($($(#[$doc:meta])* async fn $name:ident($world:ident: World) $steps:block)+) => {$(
        mod $name {
            #[allow(unused_imports, clippy::allow_attributes, reason = "not every test uses everything around it")]
            use super::*;

            $(#[$doc])*
            async fn steps($world: $crate::World) $steps

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn sqlite() {
                steps($crate::World::start($crate::Kind::Sqlite).await).await;
            }

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn postgres() {
                match $crate::Kind::postgres() {
                    Some(kind) => steps($crate::World::start(kind).await).await,
                    // Where everything is to be run, a database left out is a failure, not a pass.
                    None if std::env::var_os("CI").is_some() => panic!("HANDSEL_TEST_POSTGRES is not set"),
                    None => eprintln!("HANDSEL_TEST_POSTGRES is not set: not run on PostgreSQL"),
                }
            }
        }
    )+};
}
