use crate::app::App;
use crate::app::input::SightingInput;
use crate::app::sightings;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::{InspectionId, MarkId};
use handsel_domain::inspection::Sighting;

/// Records that registered damage was looked at again, replacing what was recorded of it here before.
#[utoipa::path(
    put,
    path = "/inspections/{id}/sightings/{mark_id}",
    operation_id = "putSighting",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("mark_id" = MarkId, Path)),
    request_body = SightingInput,
    responses((status = 200, body = Sighting))
)]
pub(crate) async fn put_sighting(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, MarkId)>,
    body: Json<SightingInput>,
) -> Answer {
    let (inspection, mark) = path.into_inner();
    Ok(ok(&sightings::put(&app, &caller, inspection, mark, body.into_inner()).await?))
}
