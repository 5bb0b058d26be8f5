use super::tus::{self, By};
use crate::app::{App, uploads};
use crate::http::answer::Answer;
use actix_web::HttpResponse;
use actix_web::web::{Data, Path};
use handsel_domain::ids::UploadId;

/// How far an upload is: go on from `Upload-Offset`.
#[utoipa::path(
    head,
    path = "/uploads/{id}",
    operation_id = "askUpload",
    tag = "uploads",
    params(("id" = UploadId, Path), ("Tus-Resumable" = String, Header, description = "1.0.0")),
    responses((status = 200, description = "Upload-Offset, Upload-Length and Upload-Expires; Handsel-Photo is `arrived` when all is here."))
)]
pub(crate) async fn progress(app: Data<App>, by: By, id: Path<UploadId>) -> Answer {
    let progress = uploads::progress(&app, &by.1, id.into_inner()).await?;
    let mut response = HttpResponse::Ok();
    tus::tell(&mut response, &progress);
    Ok(response.finish())
}
