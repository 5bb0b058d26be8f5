use crate::app::App;
use crate::app::input::StaffEdit;
use crate::app::record::Staff;
use crate::app::staff;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, IfMatch, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::StaffId;

/// Changes a member of staff: fields left out stay as they are.
#[utoipa::path(
    patch,
    path = "/staff/{id}",
    operation_id = "editStaff",
    tag = "staff",
    params(("id" = StaffId, Path), ("If-Match" = String, Header, description = "The entity tag last read, such as `\"3\"`.")),
    request_body = StaffEdit,
    responses((status = 200, body = Staff))
)]
pub(crate) async fn edit(
    app: Data<App>,
    caller: Caller,
    id: Path<StaffId>,
    version: IfMatch,
    body: Json<StaffEdit>,
) -> Answer {
    let changed = staff::edit(&app, &caller, id.into_inner(), version.0, body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
