use crate::app::App;
use crate::app::hires;
use crate::app::input::Cancel;
use crate::app::record::Hire;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Calls off a hire that is still booked.
#[utoipa::path(
    post,
    path = "/hires/{id}/cancel",
    operation_id = "cancelHire",
    tag = "hires",
    params(("id" = HireId, Path)),
    request_body = Cancel,
    responses((status = 200, body = Hire))
)]
pub(crate) async fn cancel(app: Data<App>, caller: Caller, id: Path<HireId>, body: Json<Cancel>) -> Answer {
    let changed = hires::cancel(&app, &caller, id.into_inner(), body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
