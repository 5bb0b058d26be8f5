use crate::app::App;
use crate::app::photos::{self, Size};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::Caller;
use actix_web::HttpResponse;
use actix_web::web::{Data, Path, Query};
use handsel_domain::ids::PhotoId;
use serde::Deserialize;
use utoipa::IntoParams;

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SizeQuery {
    /// Longest edge: list 320, screen 1600, zoom 4000 pixels; `screen` when left out.
    size: Option<Size>,
}

/// A photograph to look at: upright, without metadata, JPEG.
#[utoipa::path(
    get,
    path = "/photos/{id}",
    operation_id = "readPhoto",
    tag = "photos",
    params(("id" = PhotoId, Path), SizeQuery),
    responses((status = 200, body = ImageBytes, content_type = "image/jpeg"))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<PhotoId>, query: Query<SizeQuery>) -> Answer {
    let size = query.size.unwrap_or(Size::Screen);
    let bytes = photos::read(&app, &caller, id.into_inner(), size).await?;
    Ok(HttpResponse::Ok()
        .content_type("image/jpeg")
        .insert_header(("Cache-Control", "private, max-age=31536000, immutable"))
        .body(bytes))
}
