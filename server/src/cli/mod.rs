//! Commands that need no server.

pub mod compare;
pub mod photo;
pub mod verify;
