//! Commands that need no server.

pub mod backup;
pub mod compare;
pub mod photo;
pub mod verify;
