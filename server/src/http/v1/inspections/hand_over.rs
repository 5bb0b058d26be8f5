use crate::app::App;
use crate::app::input::Handover;
use crate::app::signing;
use crate::app::view::InspectionView;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Json, Language};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// Notes when the vehicle changed hands: given out at departure, given back at return.
#[utoipa::path(
    put,
    path = "/inspections/{id}/handover",
    operation_id = "handOver",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = Handover,
    responses((status = 200, body = InspectionView))
)]
pub(crate) async fn hand_over(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<InspectionId>,
    body: Json<Handover>,
) -> Answer {
    let changed = signing::hand_over(&app, &caller, id.into_inner(), body.into_inner(), lang.0).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
