use crate::app::App;
use crate::app::drivers;
use crate::app::input::DriverDetails;
use crate::app::record::Hire;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{DriverId, HireId};

/// Adds a driver or replaces one's details.
#[utoipa::path(
    put,
    path = "/hires/{id}/drivers/{driver_id}",
    operation_id = "putDriver",
    tag = "hires",
    params(("id" = HireId, Path), ("driver_id" = DriverId, Path)),
    request_body = DriverDetails,
    responses((status = 200, body = Hire))
)]
pub(crate) async fn put_driver(
    app: Data<App>,
    caller: Caller,
    path: Path<(HireId, DriverId)>,
    body: Json<DriverDetails>,
) -> Answer {
    let (hire, driver) = path.into_inner();
    let changed = drivers::put(&app, &caller, hire, driver, body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
