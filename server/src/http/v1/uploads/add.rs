use super::tus::{self, By};
use crate::app::{App, Code, uploads};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::problem::Refused;
use actix_web::http::header::CONTENT_TYPE;
use actix_web::web::{Data, Path, Payload};
use actix_web::{HttpRequest, HttpResponse};
use futures_util::TryStreamExt;
use handsel_domain::ids::UploadId;

/// The kind of content a piece is.
const PIECE: &str = "application/offset+octet-stream";

/// Takes in a piece of an upload, from where it is on. The last piece makes the photograph arrive; bytes that are not
/// those which were announced are refused then (`upload_differs`), and the upload is given up.
#[utoipa::path(
    patch,
    path = "/uploads/{id}",
    operation_id = "addToUpload",
    tag = "uploads",
    params(
        ("id" = UploadId, Path),
        ("Tus-Resumable" = String, Header, description = "1.0.0"),
        ("Upload-Offset" = u64, Header, description = "Where the piece begins."),
        ("Upload-Checksum" = Option<String>, Header, description = "`sha256` and the piece's hash in base64."),
    ),
    request_body(content = ImageBytes, content_type = "application/offset+octet-stream"),
    responses((status = 204, description = "Taken in as far as Upload-Offset says."))
)]
pub(crate) async fn add(req: HttpRequest, app: Data<App>, by: By, id: Path<UploadId>, payload: Payload) -> Answer {
    if tus::text(&req, CONTENT_TYPE.as_str()) != Some(PIECE) {
        return Err(Refused::new(Code::UnsupportedMediaType, format!("Send pieces as {PIECE}.")));
    }
    let (offset, checksum) = (tus::bytes(&req, "Upload-Offset")?, tus::checksum(&req)?);
    let pieces = payload.map_err(|e| e.to_string());
    let progress = uploads::add(&app, &by.1, id.into_inner(), offset, checksum, pieces).await?;
    let mut response = HttpResponse::NoContent();
    tus::tell(&mut response, &progress);
    Ok(response.finish())
}
