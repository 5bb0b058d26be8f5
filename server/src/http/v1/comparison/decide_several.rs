use crate::app::input::Acceptances;
use crate::app::{App, decisions};
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Language, Once};
use actix_web::web::{Data, Path};
use handsel_domain::charges::Comparison;
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// Accepts several lines at once: all of them or none, and only lines that nothing speaks against.
#[utoipa::path(
    post,
    path = "/hires/{id}/decisions/several",
    operation_id = "acceptLines",
    tag = "comparison",
    params(("id" = HireId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed."), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = Acceptances,
    responses((status = 200, body = Comparison))
)]
pub(crate) async fn several(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<HireId>,
    once: Once<Acceptances>,
) -> Answer {
    Ok(replayed(decisions::accept_several(&app, &caller, id.into_inner(), once.idempotency, once.body, lang.0).await?))
}
