use crate::app::record::BankImport;
use crate::app::{App, bank_files};
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::ImportId;

/// How far reading a file in has come.
#[utoipa::path(
    get,
    path = "/bank/imports/{id}",
    operation_id = "bankFile",
    tag = "bank",
    params(("id" = ImportId, Path)),
    responses((status = 200, body = BankImport))
)]
pub(crate) async fn import(app: Data<App>, caller: Caller, id: Path<ImportId>) -> Answer {
    Ok(ok(&bank_files::import(&app, &caller, id.into_inner()).await?))
}
