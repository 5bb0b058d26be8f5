use crate::app::App;
use crate::app::sealing;
use crate::app::view::SealBundle;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;

/// The seal of a signed inspection, with everything it takes to check it by other means: `sha256sum`, and `openssl
/// pkeyutl -verify -rawin` with the public key.
#[utoipa::path(
    get,
    path = "/inspections/{id}/seal",
    operation_id = "readSeal",
    tag = "inspections",
    params(("id" = InspectionId, Path)),
    responses((status = 200, body = SealBundle))
)]
pub(crate) async fn seal(app: Data<App>, caller: Caller, id: Path<InspectionId>) -> Answer {
    Ok(ok(&sealing::read(&app, &caller, id.into_inner()).await?))
}
