//! What happens when things go wrong around the server: it is killed, it is sent what was made to hurt it, or all it
//! kept is lost and comes back from a backup. The
//! program runs as a process of its own.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test fails by panicking")]

mod backup;
mod bucket;
mod hostile;
mod killed;
mod sync;
