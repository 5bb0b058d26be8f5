use crate::app::record::Erasure;
use crate::app::{App, erasure};
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// The signed note of what was erased of a hire: 404 while nothing was.
#[utoipa::path(
    get,
    path = "/hires/{id}/erasure",
    operation_id = "readErasure",
    tag = "deposit",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Erasure))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    Ok(ok(&erasure::read(&app, &caller, id.into_inner()).await?))
}
