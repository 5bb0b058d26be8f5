use crate::app::App;
use crate::app::record::Staff;
use crate::app::staff;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::Caller;
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::StaffId;

/// Reads a member of staff.
#[utoipa::path(
    get,
    path = "/staff/{id}",
    operation_id = "readStaff",
    tag = "staff",
    params(("id" = StaffId, Path)),
    responses((status = 200, body = Staff))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<StaffId>) -> Answer {
    let found = staff::read(&app, &caller, id.into_inner()).await?;
    Ok(tagged(StatusCode::OK, found.version, &found))
}
