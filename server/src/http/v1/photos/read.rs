use super::serve::{has, sent, unchanged};
use crate::app::photos;
use crate::app::{App, Size};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::{Accepted, Caller};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path, Query};
use handsel_domain::ids::PhotoId;
use serde::Deserialize;
use utoipa::IntoParams;

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SizeQuery {
    /// Longest edge: list 320, screen 1600, zoom 2560 pixels; `screen` when left out.
    pub(crate) size: Option<Size>,
}

/// A photograph to look at: upright, without metadata, in the form the caller likes best.
#[utoipa::path(
    get,
    path = "/photos/{id}",
    operation_id = "readPhoto",
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
pub(crate) async fn read(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    id: Path<PhotoId>,
    query: Query<SizeQuery>,
    form: Accepted,
) -> Answer {
    let (id, size) = (id.into_inner(), query.size.unwrap_or(Size::Screen));
    let served = photos::copy_of(&app, &caller, id, size, form.0).await?;
    if has(&req, &served) {
        return unchanged(&served);
    }
    let bytes = photos::read(&app, &caller, id, size, form.0).await?;
    sent(&served, bytes)
}
