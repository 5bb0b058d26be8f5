//! What happens around every request.

mod complete;
mod headers;
mod metrics;

pub(super) use complete::{TUS, complete};
pub(super) use headers::headers;
pub(super) use metrics::{Metrics, jobs, measure};
