use crate::app::App;
use crate::app::input::AbsenceNote;
use crate::app::signing;
use crate::app::view::InspectionView;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Json, Language};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// Notes why the hirer is not there to sign the return.
#[utoipa::path(
    put,
    path = "/inspections/{id}/absence",
    operation_id = "noteAbsence",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = AbsenceNote,
    responses((status = 200, body = InspectionView))
)]
pub(crate) async fn note_absence(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<InspectionId>,
    body: Json<AbsenceNote>,
) -> Answer {
    let changed = signing::note_absence(&app, &caller, id.into_inner(), body.into_inner(), lang.0).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
