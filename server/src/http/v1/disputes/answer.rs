use crate::app::input::DisputeAnswer;
use crate::app::view::DisputeView;
use crate::app::{App, Page, contests};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, Json, Language};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{DisputeId, HireId};
use handsel_domain::text::Lang;

/// Answers a dispute that was raised after the settlement was closed, or notes that one was withdrawn. One that was
/// raised before is answered by deciding its line.
#[utoipa::path(
    post,
    path = "/hires/{id}/disputes/{dispute_id}/answer",
    operation_id = "answerDispute",
    tag = "comparison",
    params(("id" = HireId, Path), ("dispute_id" = DisputeId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = DisputeAnswer,
    responses((status = 200, body = Items<DisputeView>))
)]
pub(crate) async fn answer(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    lang: Language,
    path: Path<(HireId, DisputeId)>,
    body: Json<DisputeAnswer>,
) -> Answer {
    let (hire, dispute) = path.into_inner();
    let all = contests::answer(&app, &caller, hire, dispute, body.into_inner(), lang.0).await?;
    Ok(page(&req, Page::whole(all)))
}
