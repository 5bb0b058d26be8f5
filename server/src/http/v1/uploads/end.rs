use super::tus::By;
use crate::app::{App, uploads};
use crate::http::answer::{Answer, no_content};
use actix_web::web::{Data, Path};
use handsel_domain::ids::UploadId;

/// Gives an upload up. A photograph that arrived stays.
#[utoipa::path(
    delete,
    path = "/uploads/{id}",
    operation_id = "endUpload",
    tag = "uploads",
    params(("id" = UploadId, Path), ("Tus-Resumable" = String, Header, description = "1.0.0")),
    responses((status = 204))
)]
pub(crate) async fn end(app: Data<App>, by: By, id: Path<UploadId>) -> Answer {
    uploads::end(&app, &by.1, id.into_inner()).await?;
    Ok(no_content())
}
