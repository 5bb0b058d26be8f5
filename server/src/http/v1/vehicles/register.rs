use crate::app::App;
use crate::app::record::RegisterMark;
use crate::app::{Page, register};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::VehicleId;

/// The damage register, oldest first, repaired damage included.
#[utoipa::path(
    get,
    path = "/vehicles/{id}/register",
    operation_id = "readRegister",
    tag = "vehicles",
    params(("id" = VehicleId, Path)),
    responses((status = 200, body = Items<RegisterMark>))
)]
pub(crate) async fn register(req: HttpRequest, app: Data<App>, caller: Caller, id: Path<VehicleId>) -> Answer {
    Ok(page(&req, Page::whole(register::list(&app, &caller, id.into_inner()).await?)))
}
