use crate::app::App;
use crate::app::input::NewStaff;
use crate::app::record::Staff;
use crate::app::staff;
use crate::http::answer::{Answer, status, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;

/// Adds a member of staff.
#[utoipa::path(
    post,
    path = "/staff",
    operation_id = "createStaff",
    tag = "staff",
    request_body = NewStaff,
    responses((status = 201, body = Staff), (status = 200, body = Staff, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<NewStaff>) -> Answer {
    let made = staff::create(&app, &caller, body.into_inner()).await?;
    Ok(tagged(status(&made), made.value.version, &made.value))
}
