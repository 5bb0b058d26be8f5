use crate::app::{App, Size, contests};
use crate::http::answer::{Answer, ImageBytes};
use crate::http::extract::{Accepted, Caller};
use crate::http::v1::photos::read::SizeQuery;
use crate::http::v1::photos::serve::sent;
use actix_web::web::{Data, Path, Query};
use handsel_domain::ids::{HireId, PhotoId};

/// A photograph that came with a dispute.
#[utoipa::path(
    get,
    path = "/hires/{id}/dispute-photos/{photo_id}",
    operation_id = "readDisputePhoto",
    tag = "comparison",
    params(("id" = HireId, Path), ("photo_id" = PhotoId, Path), SizeQuery),
    responses((status = 200, description = "The image; it never changes.", content(
        (ImageBytes = "image/jpeg"),
        (ImageBytes = "image/webp"),
    )))
)]
pub(crate) async fn photo(
    app: Data<App>,
    caller: Caller,
    path: Path<(HireId, PhotoId)>,
    query: Query<SizeQuery>,
    form: Accepted,
) -> Answer {
    let (hire, id) = path.into_inner();
    let (served, bytes) = contests::photo(&app, &caller, hire, id, query.size.unwrap_or(Size::Screen), form.0).await?;
    sent(&served, bytes)
}
