use crate::app::App;
use crate::app::input::NewVehicle;
use crate::app::record::Vehicle;
use crate::app::vehicles;
use crate::http::answer::{Answer, status, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;

/// Adds a vehicle.
#[utoipa::path(
    post,
    path = "/vehicles",
    operation_id = "createVehicle",
    tag = "vehicles",
    request_body = NewVehicle,
    responses((status = 201, body = Vehicle), (status = 200, body = Vehicle, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<NewVehicle>) -> Answer {
    let made = vehicles::create(&app, &caller, body.into_inner()).await?;
    Ok(tagged(status(&made), made.value.version, &made.value))
}
