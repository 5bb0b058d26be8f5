//! What handlers take from a request, each refused with words of its own.

mod accept;
mod body;
mod caller;
mod columns;
mod headers;
mod page;

pub(crate) use accept::Accepted;
pub(crate) use body::{Json, Once, file_bytes, photo_bytes};
pub(crate) use caller::{Caller, Follower, authorise};
pub(crate) use columns::columns;
pub(crate) use headers::{IfMatch, Language};
pub(crate) use page::{PageQuery, page_ask};
