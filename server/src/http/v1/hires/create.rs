use crate::app::App;
use crate::app::hires;
use crate::app::input::NewHire;
use crate::app::record::Hire;
use crate::http::answer::{Answer, status, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;

/// Adds a hire.
#[utoipa::path(
    post,
    path = "/hires",
    operation_id = "createHire",
    tag = "hires",
    request_body = NewHire,
    responses((status = 201, body = Hire), (status = 200, body = Hire, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<NewHire>) -> Answer {
    let made = hires::create(&app, &caller, body.into_inner()).await?;
    Ok(tagged(status(&made), made.value.version, &made.value))
}
