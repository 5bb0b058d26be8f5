use crate::app::App;
use crate::app::drivers;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{DriverId, HireId};

/// Takes a driver off a hire.
#[utoipa::path(
    delete,
    path = "/hires/{id}/drivers/{driver_id}",
    operation_id = "removeDriver",
    tag = "hires",
    params(("id" = HireId, Path), ("driver_id" = DriverId, Path)),
    responses((status = 204))
)]
pub(crate) async fn remove_driver(app: Data<App>, caller: Caller, path: Path<(HireId, DriverId)>) -> Answer {
    let (hire, driver) = path.into_inner();
    drivers::remove(&app, &caller, hire, driver).await?;
    Ok(no_content())
}
