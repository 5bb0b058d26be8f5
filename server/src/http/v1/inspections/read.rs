use crate::app::App;
use crate::app::inspections;
use crate::app::view::InspectionView;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Language};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// Reads a walk-round, with what is still to do.
#[utoipa::path(
    get,
    path = "/inspections/{id}",
    operation_id = "readInspection",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = InspectionView))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, lang: Language, id: Path<InspectionId>) -> Answer {
    let found = inspections::read(&app, &caller, id.into_inner(), lang.0).await?;
    Ok(tagged(StatusCode::OK, found.version, &found))
}
