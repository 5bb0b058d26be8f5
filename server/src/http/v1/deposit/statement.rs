use crate::app::App;
use crate::app::settlement;
use crate::app::view::Statement;
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Language};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// The hirer's statement: as it would be now, or as it was when the settlement was closed.
#[utoipa::path(
    get,
    path = "/hires/{id}/statement",
    operation_id = "readStatement",
    tag = "deposit",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = Statement))
)]
pub(crate) async fn statement(app: Data<App>, caller: Caller, lang: Language, id: Path<HireId>) -> Answer {
    Ok(ok(&settlement::statement(&app, &caller, id.into_inner(), lang.0).await?))
}
