use crate::app::App;
use crate::app::tariffs;
use crate::app::view::TariffSummary;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, PageQuery};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Tariffs without their content, by name and version.
#[utoipa::path(
    get,
    path = "/tariffs",
    operation_id = "listTariffs",
    tag = "tariffs",
    params(PageQuery),
    responses((status = 200, body = Items<TariffSummary>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<PageQuery>) -> Answer {
    Ok(page(&req, tariffs::list(&app, &caller, &query.ask()?).await?))
}
