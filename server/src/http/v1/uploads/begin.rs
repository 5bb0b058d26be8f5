use super::tus::{self, By};
use crate::app::{App, uploads};
use crate::http::answer::Answer;
use actix_web::http::header::LOCATION;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

/// Begins to upload an announced photograph. `Location` says where its pieces go.
#[utoipa::path(
    post,
    path = "/uploads",
    operation_id = "beginUpload",
    tag = "uploads",
    params(
        ("Tus-Resumable" = String, Header, description = "1.0.0"),
        ("Upload-Length" = u64, Header, description = "Bytes in all, as announced."),
        ("Upload-Metadata" = String, Header, description = "`photo` and its id in base64."),
    ),
    responses(
        (status = 201, description = "Begun: send the pieces to Location."),
        (status = 200, description = "The photograph has arrived before: nothing is to be sent. Upload-Offset is its length."),
    )
)]
pub(crate) async fn begin(req: HttpRequest, app: Data<App>, by: By) -> Answer {
    let (photo, length) = (tus::photo(&req)?, tus::bytes(&req, "Upload-Length")?);
    let begun = uploads::begin(&app, &by.1, photo, length).await?;
    let mut response = if begun.arrived { HttpResponse::Ok() } else { HttpResponse::Created() };
    tus::tell(&mut response, &begun);
    Ok(response.insert_header((LOCATION, tus::location(&begun))).finish())
}
