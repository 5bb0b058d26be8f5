use crate::app::App;
use crate::app::tariffs;
use crate::http::answer::{Answer, made};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;
use handsel_domain::tariff::Tariff;

/// Adds a version of a tariff: one more than the latest of its name.
#[utoipa::path(
    post,
    path = "/tariffs",
    operation_id = "createTariff",
    tag = "tariffs",
    request_body = Tariff,
    responses((status = 201, body = Tariff), (status = 200, body = Tariff, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<Tariff>) -> Answer {
    Ok(made(&tariffs::create(&app, &caller, body.into_inner()).await?))
}
