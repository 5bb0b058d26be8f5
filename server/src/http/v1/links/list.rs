use crate::app::record::Link;
use crate::app::{App, Page, links};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// The links of a hire, newest first. Their addresses are told once, when they are made.
#[utoipa::path(
    get,
    path = "/hires/{id}/links",
    operation_id = "listLinks",
    tag = "hirer",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Items<Link>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    Ok(page(&req, Page::whole(links::list(&app, &caller, id.into_inner()).await?)))
}
