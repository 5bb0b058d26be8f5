use crate::app::App;
use crate::app::input::Repair;
use crate::app::record::RegisterMark;
use crate::app::register;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::{MarkId, VehicleId};

/// Notes that a registered damage was put right.
#[utoipa::path(
    post,
    path = "/vehicles/{id}/register/{mark}/repair",
    operation_id = "repairMark",
    tag = "vehicles",
    params(("id" = VehicleId, Path), ("mark" = MarkId, Path)),
    request_body = Repair,
    responses((status = 200, body = RegisterMark))
)]
pub(crate) async fn repair(
    app: Data<App>,
    caller: Caller,
    path: Path<(VehicleId, MarkId)>,
    body: Json<Repair>,
) -> Answer {
    let (vehicle, mark) = path.into_inner();
    Ok(ok(&register::repair(&app, &caller, vehicle, mark, body.into_inner()).await?))
}
