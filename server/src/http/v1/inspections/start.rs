use crate::app::App;
use crate::app::input::NewInspection;
use crate::app::inspections;
use crate::app::view::InspectionView;
use crate::http::answer::{Answer, status, tagged};
use crate::http::extract::{Caller, Json, Language};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// Starts the departure or the return walk-round, with the vehicle's template as it is now; a return uses its departure's.
#[utoipa::path(
    post,
    path = "/hires/{id}/inspections",
    operation_id = "startInspection",
    tag = "inspections",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = NewInspection,
    responses((status = 201, body = InspectionView), (status = 200, body = InspectionView, description = "It was already started."))
)]
pub(crate) async fn start(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<HireId>,
    body: Json<NewInspection>,
) -> Answer {
    let made = inspections::start(&app, &caller, id.into_inner(), body.into_inner(), lang.0).await?;
    Ok(tagged(status(&made), made.value.version, &made.value))
}
