use crate::app::App;
use crate::app::depots;
use crate::app::input::DepotEdit;
use crate::app::record::Depot;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, IfMatch, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::DepotId;

/// Changes a depot: fields left out stay as they are.
#[utoipa::path(
    patch,
    path = "/depots/{id}",
    operation_id = "editDepot",
    tag = "depots",
    params(("id" = DepotId, Path), ("If-Match" = String, Header, description = "The entity tag last read, such as `\"3\"`.")),
    request_body = DepotEdit,
    responses((status = 200, body = Depot))
)]
pub(crate) async fn edit(
    app: Data<App>,
    caller: Caller,
    id: Path<DepotId>,
    version: IfMatch,
    body: Json<DepotEdit>,
) -> Answer {
    let changed = depots::edit(&app, &caller, id.into_inner(), version.0, body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
