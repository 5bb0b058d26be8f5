use super::read::ReportQuery;
use crate::app::{App, reports};
use crate::http::answer::Answer;
use crate::http::extract::{Caller, Language};
use actix_web::HttpResponse;
use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::web::{Data, Query};
use utoipa::ToSchema;

/// The bytes of a workbook.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct WorkbookBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

/// All tables of a report as sheets of one workbook.
#[utoipa::path(
    get,
    path = "/reports/workbook.xlsx",
    operation_id = "readReportWorkbook",
    tag = "reports",
    params(ReportQuery),
    responses((status = 200, content((WorkbookBytes = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))))
)]
pub(crate) async fn workbook(app: Data<App>, caller: Caller, query: Query<ReportQuery>, lang: Language) -> Answer {
    let asked = query.into_inner();
    let told = reports::read(&app, &caller, (asked.from, asked.to), asked.depot, asked.currency).await?;
    Ok(HttpResponse::Ok()
        .content_type("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
        .insert_header((CONTENT_DISPOSITION, "attachment; filename=\"report.xlsx\""))
        .body(reports::workbook(&told, lang.0)?))
}
