use crate::app::input::PutAside;
use crate::app::view::BankEntryView;
use crate::app::{App, bank};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::BankEntryId;

/// Puts an entry aside, as none of a deposit; without a reason it is open again.
#[utoipa::path(
    put,
    path = "/bank/entries/{id}/aside",
    operation_id = "putBankEntryAside",
    tag = "bank",
    params(("id" = BankEntryId, Path)),
    request_body = PutAside,
    responses((status = 200, body = BankEntryView))
)]
pub(crate) async fn put_aside(app: Data<App>, caller: Caller, id: Path<BankEntryId>, body: Json<PutAside>) -> Answer {
    Ok(ok(&bank::put_aside(&app, &caller, id.into_inner(), body.into_inner()).await?))
}
