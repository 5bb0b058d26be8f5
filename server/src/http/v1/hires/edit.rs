use crate::app::App;
use crate::app::hires;
use crate::app::input::HireEdit;
use crate::app::record::Hire;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, IfMatch, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Changes a hire that is still booked: fields left out stay as they are.
#[utoipa::path(
    patch,
    path = "/hires/{id}",
    operation_id = "editHire",
    tag = "hires",
    params(("id" = HireId, Path), ("If-Match" = String, Header, description = "The entity tag last read, such as `\"3\"`.")),
    request_body = HireEdit,
    responses((status = 200, body = Hire))
)]
pub(crate) async fn edit(
    app: Data<App>,
    caller: Caller,
    id: Path<HireId>,
    version: IfMatch,
    body: Json<HireEdit>,
) -> Answer {
    let changed = hires::edit(&app, &caller, id.into_inner(), version.0, body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
