use crate::app::App;
use crate::app::sightings;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{InspectionId, MarkId};

/// Takes back a look at registered damage.
#[utoipa::path(
    delete,
    path = "/inspections/{id}/sightings/{mark_id}",
    operation_id = "removeSighting",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("mark_id" = MarkId, Path)),
    responses((status = 204))
)]
pub(crate) async fn remove_sighting(app: Data<App>, caller: Caller, path: Path<(InspectionId, MarkId)>) -> Answer {
    let (inspection, mark) = path.into_inner();
    sightings::remove(&app, &caller, inspection, mark).await?;
    Ok(no_content())
}
