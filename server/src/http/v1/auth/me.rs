use crate::app::App;
use crate::app::record::Staff;
use crate::app::staff;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::Caller;
use actix_web::http::StatusCode;
use actix_web::web::Data;

/// Who is signed in.
#[utoipa::path(
    get,
    path = "/me",
    operation_id = "readMe",
    tag = "auth",
    responses((status = 200, body = Staff))
)]
pub(crate) async fn me(app: Data<App>, caller: Caller) -> Answer {
    let me = staff::me(&app, &caller).await?;
    Ok(tagged(StatusCode::OK, me.version, &me))
}
