use super::read::SizeQuery;
use super::serve::{has, sent, unchanged};
use crate::app::{App, Size, pointers};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::{Accepted, Caller};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path, Query};
use handsel_domain::ids::PhotoId;

/// The departure's photograph of the same viewpoint, laid over this one; for flicker and swipe. At most 1600 pixels.
#[utoipa::path(
    get,
    path = "/photos/{id}/before",
    operation_id = "readPhotoBefore",
    tag = "photos",
    params(("id" = PhotoId, Path), SizeQuery),
    responses(
        (status = 200, description = "The image; it never changes.", content(
            (ImageBytes = "image/jpeg"),
            (ImageBytes = "image/webp"),
        )),
        (status = 304, description = "The caller has it, by If-None-Match."),
    )
)]
pub(crate) async fn before(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    id: Path<PhotoId>,
    query: Query<SizeQuery>,
    form: Accepted,
) -> Answer {
    let size = query.size.unwrap_or(Size::Screen);
    let served = pointers::before_of(&app, &caller, id.into_inner(), size, form.0).await?;
    if has(&req, &served) {
        return unchanged(&served);
    }
    let bytes = pointers::before(&app, &caller, &served).await?;
    sent(&served, bytes)
}
