use crate::app::App;
use crate::app::auth;
use crate::app::input::Login;
use crate::app::view::Session;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Json;
use actix_web::web::Data;

/// Signs in with an address and a password.
#[utoipa::path(
    post,
    path = "/auth/login",
    operation_id = "login",
    tag = "auth",
    request_body = Login,
    responses((status = 200, body = Session))
)]
pub(crate) async fn login(app: Data<App>, body: Json<Login>) -> Answer {
    Ok(ok(&auth::login(&app, body.into_inner()).await?))
}
