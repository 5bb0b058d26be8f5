use crate::app::App;
use crate::app::templates;
use crate::app::view::TemplateSummary;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, PageQuery};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Templates without their content, by layout and version.
#[utoipa::path(
    get,
    path = "/templates",
    operation_id = "listTemplates",
    tag = "templates",
    params(PageQuery),
    responses((status = 200, body = Items<TemplateSummary>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<PageQuery>) -> Answer {
    Ok(page(&req, templates::list(&app, &caller, &query.ask()?).await?))
}
