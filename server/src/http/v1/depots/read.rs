use crate::app::App;
use crate::app::depots;
use crate::app::record::Depot;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::Caller;
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::DepotId;

/// Reads a depot.
#[utoipa::path(
    get,
    path = "/depots/{id}",
    operation_id = "readDepot",
    tag = "depots",
    params(("id" = DepotId, Path)),
    responses((status = 200, body = Depot))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<DepotId>) -> Answer {
    let found = depots::read(&app, &caller, id.into_inner()).await?;
    Ok(tagged(StatusCode::OK, found.version, &found))
}
