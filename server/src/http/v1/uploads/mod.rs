//! Photographs in pieces, by tus 1.0.0: core, creation, checksum, termination and expiration.

pub(crate) mod abilities;
pub(crate) mod add;
pub(crate) mod begin;
pub(crate) mod end;
pub(crate) mod progress;
mod tus;
