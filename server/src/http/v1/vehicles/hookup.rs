use crate::app::App;
use crate::app::vehicles;
use crate::app::view::Hookup;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::VehicleId;

/// What a pitch's mains supply carries, for the appliances fitted.
#[utoipa::path(
    get,
    path = "/vehicles/{id}/hookup",
    operation_id = "readHookup",
    tag = "vehicles",
    params(("id" = VehicleId, Path)),
    responses((status = 200, body = Hookup))
)]
pub(crate) async fn hookup(app: Data<App>, caller: Caller, id: Path<VehicleId>) -> Answer {
    Ok(ok(&vehicles::hookup(&app, &caller, id.into_inner()).await?))
}
