use crate::app::view::DisputeView;
use crate::app::{App, Page, contests};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, Language};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// What the hirer disputes, oldest first.
#[utoipa::path(
    get,
    path = "/hires/{id}/disputes",
    operation_id = "listDisputes",
    tag = "comparison",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = Items<DisputeView>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, lang: Language, id: Path<HireId>) -> Answer {
    Ok(page(&req, Page::whole(contests::list(&app, &caller, id.into_inner(), lang.0).await?)))
}
