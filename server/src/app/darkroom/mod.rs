//! What workers do with photographs.

pub(super) mod develop;
pub(super) mod point;
mod repeats;

use super::workshop::finish;
