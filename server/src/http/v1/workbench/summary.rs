use crate::app::view::WorkbenchSummary;
use crate::app::{App, workbench};
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::Data;

/// How much waits, how much of it is late, and which card holds lapse soon.
#[utoipa::path(
    get,
    path = "/workbench/summary",
    operation_id = "readWorkbench",
    tag = "workbench",
    responses((status = 200, body = WorkbenchSummary))
)]
pub(crate) async fn summary(app: Data<App>, caller: Caller) -> Answer {
    Ok(ok(&workbench::summary(&app, &caller).await?))
}
