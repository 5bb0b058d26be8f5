use crate::app::App;
use crate::app::inspections;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::template::Template;

/// The walk-round this inspection goes through.
#[utoipa::path(
    get,
    path = "/inspections/{id}/template",
    operation_id = "readInspectionTemplate",
    tag = "inspections",
    params(("id" = InspectionId, Path)),
    responses((status = 200, body = Template))
)]
pub(crate) async fn template(app: Data<App>, caller: Caller, id: Path<InspectionId>) -> Answer {
    Ok(ok(&inspections::template(&app, &caller, id.into_inner()).await?))
}
