use crate::app::App;
use crate::app::record::DecisionView;
use crate::app::{Page, decisions};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Every decision, oldest first.
#[utoipa::path(
    get,
    path = "/hires/{id}/decisions",
    operation_id = "listDecisions",
    tag = "comparison",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Items<DecisionView>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    Ok(page(&req, Page::whole(decisions::list(&app, &caller, id.into_inner()).await?)))
}
