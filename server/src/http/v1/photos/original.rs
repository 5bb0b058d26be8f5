use crate::app::App;
use crate::app::photos;
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::Caller;
use actix_web::HttpResponse;
use actix_web::http::header::ETAG;
use actix_web::web::{Data, Path};
use handsel_domain::ids::PhotoId;

/// The bytes as they came from the device, metadata included: evidence, for those who may see it.
#[utoipa::path(
    get,
    path = "/photos/{id}/original",
    operation_id = "readOriginalPhoto",
    tag = "photos",
    params(("id" = PhotoId, Path)),
    responses((status = 200, description = "The original bytes.", content(
        (ImageBytes = "image/jpeg"),
        (ImageBytes = "image/png"),
        (ImageBytes = "image/webp"),
    )))
)]
pub(crate) async fn original(app: Data<App>, caller: Caller, id: Path<PhotoId>) -> Answer {
    let (file, bytes) = photos::original(&app, &caller, id.into_inner()).await?;
    Ok(HttpResponse::Ok()
        .content_type(file.media_type)
        .insert_header(("Content-Disposition", "attachment"))
        .insert_header((ETAG, format!("\"{}\"", file.photo.sha256)))
        .insert_header(("Cache-Control", "private, max-age=31536000, immutable"))
        .body(bytes))
}
