use crate::app::App;
use crate::app::comparison;
use crate::http::answer::{Answer, tagged_by_content};
use crate::http::extract::{Caller, Language};
use actix_web::web::{Data, Path};
use handsel_domain::charges::Comparison;
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// What changed between departure and return, and what is proposed for it.
#[utoipa::path(
    get,
    path = "/hires/{id}/comparison",
    operation_id = "readComparison",
    tag = "comparison",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = Comparison))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, lang: Language, id: Path<HireId>) -> Answer {
    let compared = comparison::read(&app, &caller, id.into_inner(), lang.0).await?;
    tagged_by_content(&compared)
}
