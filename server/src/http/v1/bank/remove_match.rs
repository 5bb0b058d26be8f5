use crate::app::{App, bank};
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::BankEntryId;

/// Takes a match back; the movement stays recorded.
#[utoipa::path(
    delete,
    path = "/bank/entries/{id}/match",
    operation_id = "unmatchBankEntry",
    tag = "bank",
    params(("id" = BankEntryId, Path)),
    responses((status = 204, description = "It is open."))
)]
pub(crate) async fn remove_match(app: Data<App>, caller: Caller, id: Path<BankEntryId>) -> Answer {
    bank::remove_match(&app, &caller, id.into_inner()).await?;
    Ok(no_content())
}
