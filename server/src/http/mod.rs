//! The HTTP side: routes, what they take from a request, how they answer. The only place that knows the web
//! framework.

mod answer;
mod extract;
mod middleware;
pub mod openapi;
pub mod problem;
pub mod routes;
mod serve;
mod system;
mod v1;
mod web_files;

pub use serve::{Server, bind};
