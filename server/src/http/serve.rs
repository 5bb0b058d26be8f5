//! Puts the routes together and serves them.

use super::extract::authorise;
use super::middleware::{Metrics, complete, headers, measure};
use super::problem::Refused;
use super::routes::{BASE, Entry, SYSTEM, V1};
use super::web_files::{self, WebFiles};
use crate::app::{App, Code};
use actix_web::middleware::{Compress, from_fn};
use actix_web::web::{self, Data, PathConfig, QueryConfig, ServiceConfig};
use actix_web::{App as Web, HttpServer};
use std::collections::BTreeMap;
use std::io;
use std::net::TcpListener;
use std::path::PathBuf;
use tracing_actix_web::TracingLogger;

pub use actix_web::dev::Server;

/// Serves the application on a socket that is already listening.
///
/// # Errors
/// The socket cannot be served.
pub fn bind(app: App, listener: TcpListener, web: Option<PathBuf>, workers: Option<usize>) -> io::Result<Server> {
    let app = Data::new(app);
    let metrics = Data::new(Metrics::default());
    let files = Data::new(WebFiles::new(web));
    let server = HttpServer::new(move || {
        // The last one wrapped is the first to see a request.
        Web::new()
            .app_data(app.clone())
            .app_data(metrics.clone())
            .app_data(files.clone())
            .app_data(PathConfig::default().error_handler(|error, _| {
                Refused::new(Code::PathInvalid, format!("The path is not understood: {error}. Ids are UUIDs.")).into()
            }))
            .app_data(QueryConfig::default().error_handler(|error, _| {
                Refused::new(Code::QueryInvalid, format!("The query is not understood: {error}.")).into()
            }))
            .configure(routes)
            .wrap(from_fn(complete))
            .wrap(headers())
            .wrap(Compress::default())
            .wrap(from_fn(measure))
            .wrap(TracingLogger::default())
    });
    let server = match workers {
        Some(workers) => server.workers(workers),
        None => server,
    };
    Ok(server.listen(listener)?.run())
}

fn routes(config: &mut ServiceConfig) {
    let v1 = by_path(V1)
        .into_iter()
        .fold(web::scope(BASE), |scope, (path, entries)| scope.service(resource(path, &entries)))
        .default_service(web::to(no_route))
        .wrap(from_fn(authorise));
    config.service(v1);
    for (path, entries) in by_path(SYSTEM) {
        config.service(resource(path, &entries));
    }
    config.default_service(web::to(web_files::serve));
}

fn by_path(table: &'static [Entry]) -> BTreeMap<&'static str, Vec<Entry>> {
    let mut paths: BTreeMap<&str, Vec<Entry>> = BTreeMap::new();
    for entry in table {
        paths.entry(entry.path).or_default().push(*entry);
    }
    paths
}

fn resource(path: &str, entries: &[Entry]) -> actix_web::Resource {
    let resource = web::resource(path);
    entries.iter().fold(resource, |r, entry| r.route((entry.mount)())).default_service(web::to(wrong_method))
}

async fn no_route() -> Result<&'static str, Refused> {
    Err(Refused::new(Code::NotFound, "There is no such path; /api/openapi.json describes all there are."))
}

async fn wrong_method() -> Result<&'static str, Refused> {
    Err(Refused::new(
        Code::MethodNotAllowed,
        "The path is there, but not with this method; /api/openapi.json describes which.",
    ))
}
