use crate::app::App;
use crate::app::input::Sign;
use crate::app::signing;
use crate::app::view::InspectionView;
use crate::http::answer::{Answer, replayed};
use crate::http::extract::{Caller, Language, Once};
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// Closes an inspection and moves its hire on: a signed departure lets the vehicle out, a signed return takes it back.
#[utoipa::path(
    post,
    path = "/inspections/{id}/sign",
    operation_id = "signInspection",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("Idempotency-Key" = String, Header, description = "Any text up to 200 characters; the same for every attempt at one deed."), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = Sign,
    responses((status = 200, body = InspectionView))
)]
pub(crate) async fn sign(
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<InspectionId>,
    once: Once<Sign>,
) -> Answer {
    Ok(replayed(signing::sign(&app, &caller, id.into_inner(), once.idempotency, once.body, lang.0).await?))
}
