use crate::app::App;
use crate::app::hires;
use crate::app::record::Hire;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::Caller;
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Reads a hire.
#[utoipa::path(
    get,
    path = "/hires/{id}",
    operation_id = "readHire",
    tag = "hires",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Hire))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    let found = hires::read(&app, &caller, id.into_inner()).await?;
    Ok(tagged(StatusCode::OK, found.version, &found))
}
