//! The database's schema, as steps that run alike on SQLite and on PostgreSQL.

mod columns;
mod m0001_staff;
mod m0002_fleet;
mod m0003_hires;
mod m0004_walks;
mod m0005_money;
mod m0006_photos;
mod m0007_devices;
mod m0008_office;
mod m0009_bank;
mod m0010_erasure;

use sea_orm_migration::{MigrationTrait, MigratorTrait, async_trait};

/// Every step, oldest first.
#[derive(Clone, Copy, Debug)]
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(m0001_staff::Step),
            Box::new(m0002_fleet::Step),
            Box::new(m0003_hires::Step),
            Box::new(m0004_walks::Step),
            Box::new(m0005_money::Step),
            Box::new(m0006_photos::Step),
            Box::new(m0007_devices::Step),
            Box::new(m0008_office::Step),
            Box::new(m0009_bank::Step),
            Box::new(m0010_erasure::Step),
        ]
    }
}
