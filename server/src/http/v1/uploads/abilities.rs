use crate::app::photos::LARGEST;
use crate::http::answer::Answer;
use actix_web::HttpResponse;

/// What of the protocol is spoken here.
#[utoipa::path(
    options,
    path = "/uploads",
    operation_id = "describeUploads",
    tag = "uploads",
    responses((status = 204, description = "Version, extensions, the largest photograph and how pieces can be checked, in the Tus- headers."))
)]
pub(crate) async fn abilities() -> Answer {
    Ok(HttpResponse::NoContent()
        .insert_header(("Tus-Extension", "creation,checksum,termination,expiration"))
        .insert_header(("Tus-Max-Size", LARGEST.to_string()))
        .insert_header(("Tus-Checksum-Algorithm", "sha256"))
        .finish())
}
