use crate::app::view::PointersView;
use crate::app::{App, pointers as deeds};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Language};
use actix_web::web::{Data, Path};
use handsel_domain::ids::PhotoId;

/// Places on a return's photograph that are worth a look. They help a person to look, and never charge anybody.
#[utoipa::path(
    get,
    path = "/photos/{id}/pointers",
    operation_id = "readPointers",
    tag = "photos",
    params(("id" = PhotoId, Path)),
    responses((status = 200, body = PointersView))
)]
pub(crate) async fn pointers(app: Data<App>, caller: Caller, id: Path<PhotoId>, lang: Language) -> Answer {
    Ok(ok(&deeds::read(&app, &caller, id.into_inner(), lang.0).await?))
}
