use crate::app::App;
use crate::app::templates;
use crate::http::answer::{Answer, made};
use crate::http::extract::{Caller, Json};
use actix_web::web::Data;
use handsel_domain::template::Template;

/// Adds a version of a template: one more than the latest of its layout.
#[utoipa::path(
    post,
    path = "/templates",
    operation_id = "createTemplate",
    tag = "templates",
    request_body = Template,
    responses((status = 201, body = Template), (status = 200, body = Template, description = "It was already there, with the same content."))
)]
pub(crate) async fn create(app: Data<App>, caller: Caller, body: Json<Template>) -> Answer {
    Ok(made(&templates::create(&app, &caller, body.into_inner()).await?))
}
