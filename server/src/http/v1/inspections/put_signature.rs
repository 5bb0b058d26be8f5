use crate::app::App;
use crate::app::input::SignatureInput;
use crate::app::signing;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::inspection::{Signature, SignatureRole};

/// Keeps a drawn signature, replacing the one of the same role.
#[utoipa::path(
    put,
    path = "/inspections/{id}/signatures/{role}",
    operation_id = "putSignature",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("role" = SignatureRole, Path)),
    request_body = SignatureInput,
    responses((status = 200, body = Signature))
)]
pub(crate) async fn put_signature(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, SignatureRole)>,
    body: Json<SignatureInput>,
) -> Answer {
    let (inspection, role) = path.into_inner();
    Ok(ok(&signing::put_signature(&app, &caller, inspection, role, body.into_inner()).await?))
}
