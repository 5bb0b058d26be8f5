use crate::app::{App, Size, hirer};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::{Accepted, Follower};
use crate::http::v1::photos::read::SizeQuery;
use crate::http::v1::photos::serve::sent;
use actix_web::web::{Data, Path, Query};
use handsel_domain::ids::PhotoId;

/// A photograph of a signed record of the hire, or one that the hirer sent.
#[utoipa::path(
    get,
    path = "/hirer/photos/{id}",
    operation_id = "readOwnPhoto",
    tag = "hirer",
    params(("id" = PhotoId, Path), SizeQuery),
    responses((status = 200, description = "The image; it never changes.", content(
        (ImageBytes = "image/jpeg"),
        (ImageBytes = "image/webp"),
    )))
)]
pub(crate) async fn photo(
    app: Data<App>,
    follower: Follower,
    id: Path<PhotoId>,
    query: Query<SizeQuery>,
    form: Accepted,
) -> Answer {
    let (served, bytes) =
        hirer::photo(&app, &follower, id.into_inner(), query.size.unwrap_or(Size::Screen), form.0).await?;
    sent(&served, bytes)
}
