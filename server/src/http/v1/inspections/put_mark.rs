use crate::app::App;
use crate::app::input::MarkInput;
use crate::app::marks;
use crate::http::answer::{Answer, made};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::{InspectionId, MarkId};
use handsel_domain::inspection::Mark;

/// Records damage seen for the first time.
#[utoipa::path(
    put,
    path = "/inspections/{id}/marks/{mark_id}",
    operation_id = "putMark",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("mark_id" = MarkId, Path)),
    request_body = MarkInput,
    responses((status = 201, body = Mark), (status = 200, body = Mark, description = "It was already recorded, with the same content."))
)]
pub(crate) async fn put_mark(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, MarkId)>,
    body: Json<MarkInput>,
) -> Answer {
    let (inspection, mark) = path.into_inner();
    Ok(made(&marks::put(&app, &caller, inspection, mark, body.into_inner()).await?))
}
