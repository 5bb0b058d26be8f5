use crate::app::input::EntryMatch;
use crate::app::view::BankEntryView;
use crate::app::{App, bank};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::BankEntryId;

/// Says what an entry is: a movement that is recorded, or a new one that is recorded with it.
#[utoipa::path(
    put,
    path = "/bank/entries/{id}/match",
    operation_id = "matchBankEntry",
    tag = "bank",
    params(("id" = BankEntryId, Path)),
    request_body = EntryMatch,
    responses((status = 200, body = BankEntryView))
)]
pub(crate) async fn put_match(app: Data<App>, caller: Caller, id: Path<BankEntryId>, body: Json<EntryMatch>) -> Answer {
    Ok(ok(&bank::put_match(&app, &caller, id.into_inner(), body.into_inner()).await?))
}
