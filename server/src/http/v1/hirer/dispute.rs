use crate::app::input::NewDispute;
use crate::app::view::OwnDispute;
use crate::app::{App, Page, hirer};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Follower, Json, Language};
use actix_web::HttpRequest;
use actix_web::web::Data;
use handsel_domain::text::Lang;

/// Disputes a line of the statement: it is held, and nothing more is captured for it until it is answered.
#[utoipa::path(
    post,
    path = "/hirer/disputes",
    operation_id = "disputeLine",
    tag = "hirer",
    params(("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = NewDispute,
    responses((status = 200, body = Items<OwnDispute>))
)]
pub(crate) async fn dispute(
    req: HttpRequest,
    app: Data<App>,
    follower: Follower,
    lang: Language,
    body: Json<NewDispute>,
) -> Answer {
    Ok(page(&req, Page::whole(hirer::dispute(&app, &follower, body.into_inner(), lang.0).await?)))
}
