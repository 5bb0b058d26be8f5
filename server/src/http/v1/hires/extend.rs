use crate::app::App;
use crate::app::hires;
use crate::app::input::NewExtension;
use crate::app::record::Hire;
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Once};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Records a later return, agreed in writing.
#[utoipa::path(
    post,
    path = "/hires/{id}/extensions",
    operation_id = "extendHire",
    tag = "hires",
    params(("id" = HireId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed.")),
    request_body = NewExtension,
    responses((status = 200, body = Hire))
)]
pub(crate) async fn extend(app: Data<App>, caller: Caller, id: Path<HireId>, once: Once<NewExtension>) -> Answer {
    Ok(replayed(hires::extend(&app, &caller, id.into_inner(), once.idempotency, once.body).await?))
}
