use crate::app::App;
use crate::app::auth;
use crate::app::input::RefreshToken;
use crate::app::view::Session;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Json;
use actix_web::web::Data;

/// Gets the next session for a refresh token. A token works once: using it again ends every session that came from the same sign-in.
#[utoipa::path(
    post,
    path = "/auth/refresh",
    operation_id = "refreshSession",
    tag = "auth",
    request_body = RefreshToken,
    responses((status = 200, body = Session))
)]
pub(crate) async fn refresh(app: Data<App>, body: Json<RefreshToken>) -> Answer {
    Ok(ok(&auth::refresh(&app, &body.into_inner()).await?))
}
