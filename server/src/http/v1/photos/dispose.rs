use crate::app::input::PointerInput;
use crate::app::view::PointersView;
use crate::app::{App, pointers};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json, Language};
use actix_web::web::{Data, Path};
use handsel_domain::ids::PhotoId;
use uuid::Uuid;

/// Notes what a person made of a pointer: accepted as a mark, dismissed, or open again. While the inspection is open.
#[utoipa::path(
    put,
    path = "/photos/{id}/pointers/{pointer_id}",
    operation_id = "putPointer",
    tag = "photos",
    params(("id" = PhotoId, Path), ("pointer_id" = Uuid, Path)),
    request_body = PointerInput,
    responses((status = 200, body = PointersView))
)]
pub(crate) async fn dispose(
    app: Data<App>,
    caller: Caller,
    path: Path<(PhotoId, Uuid)>,
    lang: Language,
    body: Json<PointerInput>,
) -> Answer {
    let (photo, pointer) = path.into_inner();
    Ok(ok(&pointers::dispose(&app, &caller, photo, pointer, body.into_inner(), lang.0).await?))
}
