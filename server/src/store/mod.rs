//! What is kept: the only place that talks to the database. Rows become typed values here and nowhere else.

pub mod addendum;
pub mod bank;
pub mod contest;
mod convert;
pub mod copy;
pub mod decision;
pub mod depot;
pub mod driver;
#[expect(unreachable_pub, reason = "the derive of entities takes nothing less public")]
mod entity;
pub mod erasure;
mod error;
pub mod fact;
mod frozen;
pub mod hire;
pub mod idempotency;
pub mod inspection;
pub mod job;
pub mod link;
pub mod mark;
pub mod movement;
pub mod operation;
mod page;
pub mod photo;
pub mod pointing;
pub mod post;
pub mod record;
pub mod repeat;
mod rows;
mod scope;
pub mod seal;
pub mod session;
pub mod staff;
pub mod standing;
pub mod stroke;
pub mod tariff;
pub mod template;
mod tx;
pub mod upload;
pub mod vehicle;
pub mod walk;

pub use error::StoreError;
pub use page::{Cursor, Page, PageAsk};
pub use scope::Scope;
pub use tx::{Store, Tx};
