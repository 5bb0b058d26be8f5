use crate::app::App;
use crate::app::depots;
use crate::app::input::NewDepot;
use crate::app::record::Depot;
use crate::http::answer::{Answer, status, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;

/// Adds a depot.
#[utoipa::path(
    post,
    path = "/depots",
    operation_id = "createDepot",
    tag = "depots",
    request_body = NewDepot,
    responses((status = 201, body = Depot), (status = 200, body = Depot, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<NewDepot>) -> Answer {
    let made = depots::create(&app, &caller, body.into_inner()).await?;
    Ok(tagged(status(&made), made.value.version, &made.value))
}
