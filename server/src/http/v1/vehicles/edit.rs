use crate::app::App;
use crate::app::input::VehicleEdit;
use crate::app::record::Vehicle;
use crate::app::vehicles;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, IfMatch, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::VehicleId;

/// Changes a vehicle: fields left out stay as they are.
#[utoipa::path(
    patch,
    path = "/vehicles/{id}",
    operation_id = "editVehicle",
    tag = "vehicles",
    params(("id" = VehicleId, Path), ("If-Match" = String, Header, description = "The entity tag last read, such as `\"3\"`.")),
    request_body = VehicleEdit,
    responses((status = 200, body = Vehicle))
)]
pub(crate) async fn edit(
    app: Data<App>,
    caller: Caller,
    id: Path<VehicleId>,
    version: IfMatch,
    body: Json<VehicleEdit>,
) -> Answer {
    let changed = vehicles::edit(&app, &caller, id.into_inner(), version.0, body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
