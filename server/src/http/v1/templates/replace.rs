use crate::app::App;
use crate::app::templates;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::TemplateId;
use handsel_domain::template::Template;

/// Replaces a template version that no inspection uses yet.
#[utoipa::path(
    put,
    path = "/templates/{id}",
    operation_id = "replaceTemplate",
    tag = "templates",
    params(("id" = TemplateId, Path)),
    request_body = Template,
    responses((status = 200, body = Template))
)]
pub(crate) async fn replace(app: Data<App>, caller: Caller, id: Path<TemplateId>, body: Json<Template>) -> Answer {
    Ok(ok(&templates::replace(&app, &caller, id.into_inner(), body.into_inner()).await?))
}
