use super::read::ReportQuery;
use crate::app::{App, reports};
use crate::http::answer::Answer;
use crate::http::extract::{Caller, Language};
use actix_web::HttpResponse;
use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::web::{Data, Path, Query};

/// One table of a report as CSV: `charges`, `reasons`, `disputes`, `waiting`, `briefings` or `damage`.
#[utoipa::path(
    get,
    path = "/reports/tables/{name}",
    operation_id = "readReportTable",
    tag = "reports",
    params(("name" = String, Path), ReportQuery),
    responses((status = 200, body = String, content_type = "text/csv"))
)]
pub(crate) async fn table(
    app: Data<App>,
    caller: Caller,
    name: Path<String>,
    query: Query<ReportQuery>,
    lang: Language,
) -> Answer {
    let asked = query.into_inner();
    let told = reports::read(&app, &caller, (asked.from, asked.to), asked.depot, asked.currency).await?;
    let (name, bytes) = reports::table(&told, &name, lang.0)?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header((CONTENT_DISPOSITION, format!("attachment; filename=\"{name}.csv\"")))
        .body(bytes))
}
