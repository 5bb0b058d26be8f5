use crate::app::App;
use crate::app::vehicles;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::VehicleId;
use handsel_domain::template::Template;

/// The walk-round as it applies to this vehicle now: without what it lacks, with what it has of its own.
#[utoipa::path(
    get,
    path = "/vehicles/{id}/template",
    operation_id = "readVehicleTemplate",
    tag = "vehicles",
    params(("id" = VehicleId, Path)),
    responses((status = 200, body = Template))
)]
pub(crate) async fn template(app: Data<App>, caller: Caller, id: Path<VehicleId>) -> Answer {
    Ok(ok(&vehicles::template(&app, &caller, id.into_inner()).await?))
}
