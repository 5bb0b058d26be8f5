//! What happens when things go wrong around the server: it is killed, or it is sent what was made to hurt it. The
//! program runs as a process of its own.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails by panicking")]

mod hostile;
mod killed;
mod sync;
