use crate::app::App;
use crate::app::input::NewMovement;
use crate::app::ledger;
use crate::app::view::Ledger;
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Once};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Records a movement of money. A mistake is put right by a further movement.
#[utoipa::path(
    post,
    path = "/hires/{id}/movements",
    operation_id = "postMovement",
    tag = "deposit",
    params(("id" = HireId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed.")),
    request_body = NewMovement,
    responses((status = 200, body = Ledger))
)]
pub(crate) async fn post_movement(app: Data<App>, caller: Caller, id: Path<HireId>, once: Once<NewMovement>) -> Answer {
    Ok(replayed(ledger::post(&app, &caller, id.into_inner(), once.idempotency, once.body).await?))
}
