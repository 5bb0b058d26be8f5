use crate::app::{App, hirer};
use crate::http::answer::{Answer, ImageBytes, no_content};
use crate::http::extract::{Follower, photo_bytes};
use actix_web::HttpRequest;
use actix_web::http::header::CONTENT_TYPE;
use actix_web::web::{Data, Path, Payload};
use handsel_domain::ids::PhotoId;

/// Sends a photograph to go with a dispute. What is refused is refused as for an inspection's.
#[utoipa::path(
    put,
    path = "/hirer/photos/{id}",
    operation_id = "sendDisputePhoto",
    tag = "hirer",
    params(("id" = PhotoId, Path)),
    request_body(content(
        (ImageBytes = "image/jpeg"),
        (ImageBytes = "image/png"),
        (ImageBytes = "image/webp"),
    )),
    responses((status = 204, description = "It is kept, now or from before."))
)]
pub(crate) async fn put_photo(
    req: HttpRequest,
    app: Data<App>,
    follower: Follower,
    id: Path<PhotoId>,
    payload: Payload,
) -> Answer {
    let declared = req.headers().get(CONTENT_TYPE).and_then(|v| v.to_str().ok()).map(str::to_owned);
    let bytes = photo_bytes(&req, payload).await?;
    hirer::put_photo(&app, &follower, id.into_inner(), declared, bytes).await?;
    Ok(no_content())
}
