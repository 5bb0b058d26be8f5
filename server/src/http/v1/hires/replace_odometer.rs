use crate::app::App;
use crate::app::hires;
use crate::app::record::Hire;
use crate::http::answer::{Answer, tagged};
use crate::http::extract::{Caller, Json};
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path};
use handsel_domain::case::OdometerReplacement;
use handsel_domain::ids::HireId;

/// Records that the odometer was replaced during the hire.
#[utoipa::path(
    put,
    path = "/hires/{id}/odometer-replacement",
    operation_id = "replaceOdometer",
    tag = "hires",
    params(("id" = HireId, Path)),
    request_body = OdometerReplacement,
    responses((status = 200, body = Hire))
)]
pub(crate) async fn replace_odometer(
    app: Data<App>,
    caller: Caller,
    id: Path<HireId>,
    body: Json<OdometerReplacement>,
) -> Answer {
    let changed = hires::replace_odometer(&app, &caller, id.into_inner(), body.into_inner()).await?;
    Ok(tagged(StatusCode::OK, changed.version, &changed))
}
