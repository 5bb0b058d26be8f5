use crate::app::App;
use crate::app::depots;
use crate::app::record::Depot;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, PageQuery};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Depots, by name.
#[utoipa::path(
    get,
    path = "/depots",
    operation_id = "listDepots",
    tag = "depots",
    params(PageQuery),
    responses((status = 200, body = Items<Depot>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<PageQuery>) -> Answer {
    Ok(page(&req, depots::list(&app, &caller, &query.ask()?).await?))
}
