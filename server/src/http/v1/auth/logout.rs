use crate::app::App;
use crate::app::auth;
use crate::app::input::RefreshToken;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Json;
use actix_web::web::Data;

/// Ends the session a refresh token belongs to.
#[utoipa::path(
    post,
    path = "/auth/logout",
    operation_id = "logout",
    tag = "auth",
    request_body = RefreshToken,
    responses((status = 204))
)]
pub(crate) async fn logout(app: Data<App>, body: Json<RefreshToken>) -> Answer {
    auth::logout(&app, &body.into_inner()).await?;
    Ok(no_content())
}
