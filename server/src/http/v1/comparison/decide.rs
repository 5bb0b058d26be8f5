use crate::app::App;
use crate::app::decisions;
use crate::app::input::NewDecision;
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Language, Once};
use actix_web::web::{Data, Path};
use handsel_domain::charges::Comparison;
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// Decides one proposed line. The last decision on a line holds.
#[utoipa::path(
    post,
    path = "/hires/{id}/decisions",
    operation_id = "decideLine",
    tag = "comparison",
    params(("id" = HireId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed."), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = NewDecision,
    responses((status = 200, body = Comparison))
)]
pub(crate) async fn decide(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<HireId>,
    once: Once<NewDecision>,
) -> Answer {
    Ok(replayed(decisions::decide(&app, &caller, id.into_inner(), once.idempotency, once.body, lang.0).await?))
}
