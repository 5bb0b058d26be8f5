use crate::app::App;
use crate::app::marks;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{InspectionId, MarkId};

/// Takes back damage recorded on an open inspection.
#[utoipa::path(
    delete,
    path = "/inspections/{id}/marks/{mark_id}",
    operation_id = "removeMark",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("mark_id" = MarkId, Path)),
    responses((status = 204))
)]
pub(crate) async fn remove_mark(app: Data<App>, caller: Caller, path: Path<(InspectionId, MarkId)>) -> Answer {
    let (inspection, mark) = path.into_inner();
    marks::remove(&app, &caller, inspection, mark).await?;
    Ok(no_content())
}
