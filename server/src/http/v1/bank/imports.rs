use crate::app::record::BankImport;
use crate::app::{App, Page, bank_files};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::Data;

/// Files of banks that were read in, newest first; at most 100.
#[utoipa::path(
    get,
    path = "/bank/imports",
    operation_id = "listBankFiles",
    tag = "bank",
    responses((status = 200, body = Items<BankImport>))
)]
pub(crate) async fn imports(req: HttpRequest, app: Data<App>, caller: Caller) -> Answer {
    Ok(page(&req, Page::whole(bank_files::imports(&app, &caller).await?)))
}
