use crate::app::App;
use crate::app::photos;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{InspectionId, PhotoId};

/// Takes back a photograph of an open inspection that nothing refers to.
#[utoipa::path(
    delete,
    path = "/inspections/{id}/photos/{photo_id}",
    operation_id = "removePhoto",
    tag = "photos",
    params(("id" = InspectionId, Path), ("photo_id" = PhotoId, Path)),
    responses((status = 204))
)]
pub(crate) async fn remove_photo(app: Data<App>, caller: Caller, path: Path<(InspectionId, PhotoId)>) -> Answer {
    let (inspection, photo) = path.into_inner();
    photos::remove(&app, &caller, inspection, photo).await?;
    Ok(no_content())
}
