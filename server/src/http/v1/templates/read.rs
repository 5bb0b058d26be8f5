use crate::app::App;
use crate::app::templates;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::TemplateId;
use handsel_domain::template::Template;

/// Reads a template version.
#[utoipa::path(
    get,
    path = "/templates/{id}",
    operation_id = "readTemplate",
    tag = "templates",
    params(("id" = TemplateId, Path)),
    responses((status = 200, body = Template))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<TemplateId>) -> Answer {
    Ok(ok(&templates::read(&app, &caller, id.into_inner()).await?))
}
