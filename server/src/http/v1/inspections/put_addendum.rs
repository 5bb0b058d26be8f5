use crate::app::App;
use crate::app::addenda;
use crate::app::input::AddendumInput;
use crate::app::view::AddendumView;
use crate::http::answer::{Answer, made};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::{AddendumId, InspectionId};

/// Adds words to a sealed inspection. Nothing that was sealed changes; the addendum is signed by itself.
#[utoipa::path(
    put,
    path = "/inspections/{id}/addenda/{addendum_id}",
    operation_id = "putAddendum",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("addendum_id" = AddendumId, Path)),
    request_body = AddendumInput,
    responses((status = 201, body = AddendumView), (status = 200, body = AddendumView, description = "It was already added, with the same content."))
)]
pub(crate) async fn put_addendum(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, AddendumId)>,
    body: Json<AddendumInput>,
) -> Answer {
    let (inspection, addendum) = path.into_inner();
    Ok(made(&addenda::put(&app, &caller, inspection, addendum, body.into_inner()).await?))
}
