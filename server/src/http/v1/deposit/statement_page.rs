use crate::app::App;
use crate::app::settlement;
use crate::http::answer::{Answer, html};
use crate::http::extract::{Caller, Language};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// The hirer's statement as a page to read and print.
#[utoipa::path(
    get,
    path = "/hires/{id}/statement.html",
    operation_id = "readStatementPage",
    tag = "deposit",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = String, content_type = "text/html"))
)]
pub(crate) async fn statement_page(app: Data<App>, caller: Caller, lang: Language, id: Path<HireId>) -> Answer {
    Ok(html(settlement::page(&app, &caller, id.into_inner(), lang.0).await?))
}
