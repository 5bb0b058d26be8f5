use crate::app::App;
use crate::app::ledger as book;
use crate::app::view::Ledger;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// The deposit's ledger with its balances.
#[utoipa::path(
    get,
    path = "/hires/{id}/ledger",
    operation_id = "readLedger",
    tag = "deposit",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Ledger))
)]
pub(crate) async fn ledger(app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    Ok(ok(&book::read(&app, &caller, id.into_inner()).await?))
}
