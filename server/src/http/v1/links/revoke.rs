use crate::app::record::Link;
use crate::app::{App, Page, links};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{HireId, LinkId};

/// Takes a link back: it opens nothing from now on.
#[utoipa::path(
    delete,
    path = "/hires/{id}/links/{link_id}",
    operation_id = "revokeLink",
    tag = "hirer",
    params(("id" = HireId, Path), ("link_id" = LinkId, Path)),
    responses((status = 200, body = Items<Link>))
)]
pub(crate) async fn revoke(req: HttpRequest, app: Data<App>, caller: Caller, path: Path<(HireId, LinkId)>) -> Answer {
    let (hire, link) = path.into_inner();
    Ok(page(&req, Page::whole(links::revoke(&app, &caller, hire, link).await?)))
}
