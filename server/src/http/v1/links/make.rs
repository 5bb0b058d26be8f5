use crate::app::input::NewLink;
use crate::app::view::LinkMade;
use crate::app::{App, links};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;

/// Makes a link by which the hirer reads their own hire without an account.
#[utoipa::path(
    post,
    path = "/hires/{id}/links",
    operation_id = "makeLink",
    tag = "hirer",
    params(("id" = HireId, Path)),
    request_body = NewLink,
    responses((status = 200, body = LinkMade))
)]
pub(crate) async fn make(app: Data<App>, caller: Caller, id: Path<HireId>, body: Json<NewLink>) -> Answer {
    Ok(ok(&links::make(&app, &caller, id.into_inner(), body.into_inner()).await?))
}
