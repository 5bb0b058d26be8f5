use crate::app::App;
use crate::app::input::Settle;
use crate::app::settlement;
use crate::app::view::Statement;
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Language, Once};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// Closes the settlement: every line decided, nothing owed, nothing held.
#[utoipa::path(
    post,
    path = "/hires/{id}/settlement",
    operation_id = "settleHire",
    tag = "deposit",
    params(("id" = HireId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed."), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = Settle,
    responses((status = 200, body = Statement))
)]
pub(crate) async fn settle(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<HireId>,
    once: Once<Settle>,
) -> Answer {
    Ok(replayed(settlement::settle(&app, &caller, id.into_inner(), once.idempotency, lang.0).await?))
}
