use crate::app::App;
use crate::app::briefings;
use crate::app::input::BriefingInput;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::BriefingRecord;
use handsel_domain::template::Key;

/// Records what became of a briefing topic at departure, replacing what was recorded before. Going on without it takes a reason and a role that may.
#[utoipa::path(
    put,
    path = "/inspections/{id}/briefings/{topic}",
    operation_id = "putBriefing",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("topic" = String, Path)),
    request_body = BriefingInput,
    responses((status = 200, body = BriefingRecord))
)]
pub(crate) async fn put_briefing(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, Key)>,
    body: Json<BriefingInput>,
) -> Answer {
    let (inspection, topic) = path.into_inner();
    Ok(ok(&briefings::put(&app, &caller, inspection, topic, body.into_inner()).await?))
}
