use crate::app::App;
use crate::app::record::Vehicle;
use crate::app::vehicles;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::Caller;
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::VehicleId;

/// Reads a vehicle.
#[utoipa::path(
    get,
    path = "/vehicles/{id}",
    operation_id = "readVehicle",
    tag = "vehicles",
    params(("id" = VehicleId, Path)),
    responses((status = 200, body = Vehicle))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<VehicleId>) -> Answer {
    let found = vehicles::read(&app, &caller, id.into_inner()).await?;
    Ok(tagged(StatusCode::OK, found.version, &found))
}
