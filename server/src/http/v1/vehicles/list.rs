use crate::app::App;
use crate::app::record::Vehicle;
use crate::app::vehicles;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, PageQuery};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Vehicles, by name.
#[utoipa::path(
    get,
    path = "/vehicles",
    operation_id = "listVehicles",
    tag = "vehicles",
    params(PageQuery),
    responses((status = 200, body = Items<Vehicle>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<PageQuery>) -> Answer {
    Ok(page(&req, vehicles::list(&app, &caller, &query.ask()?).await?))
}
