//! What the server tells about itself.

use super::answer::{Answer, ok};
use super::openapi;
use super::problem::Refused;
use crate::app::App;
use crate::http::middleware::{self, Metrics};
use actix_web::HttpResponse;
use actix_web::web::Data;
use serde::Serialize;
use utoipa::ToSchema;

/// The description of this API.
#[utoipa::path(get, path = "/api/openapi.json", operation_id = "describeApi", tag = "system",
    responses((status = 200, body = Object)))]
pub(super) async fn describe() -> Answer {
    Ok(ok(&openapi::describe()))
}

/// The process is alive.
#[utoipa::path(get, path = "/healthz", operation_id = "alive", tag = "system",
    responses((status = 200, body = String, content_type = "text/plain")))]
pub(super) async fn alive() -> HttpResponse {
    HttpResponse::Ok().content_type("text/plain; charset=utf-8").body("alive\n")
}

/// Whether what the server stands on can be reached.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct Readiness {
    database: bool,
    blobs: bool,
}

/// Database and stored photographs can be reached.
#[utoipa::path(get, path = "/readyz", operation_id = "ready", tag = "system",
    responses((status = 200, body = Readiness)))]
pub(super) async fn ready(app: Data<App>) -> Answer {
    let (database, blobs) = app.ready().await;
    let readiness = Readiness { database: database.is_ok(), blobs: blobs.is_ok() };
    let causes: Vec<String> = [database, blobs].into_iter().filter_map(Result::err).collect();
    if causes.is_empty() {
        return Ok(ok(&readiness));
    }
    Err(Refused::not_ready(causes.join("; ")))
}

/// Counters in the text format that monitoring reads.
#[utoipa::path(get, path = "/metrics", operation_id = "metrics", tag = "system",
    responses((status = 200, body = String, content_type = "text/plain")))]
pub(super) async fn metrics(app: Data<App>, metrics: Data<Metrics>) -> HttpResponse {
    let jobs = match app.job_counts().await {
        Ok(counts) => middleware::jobs(&counts),
        Err(refusal) => {
            // The rest is still worth telling: a gauge that is not there is noticed by whoever watches it.
            tracing::error!(%refusal, "jobs cannot be counted");
            String::new()
        }
    };
    HttpResponse::Ok().content_type("text/plain; version=0.0.4; charset=utf-8").body(metrics.text() + &jobs)
}
