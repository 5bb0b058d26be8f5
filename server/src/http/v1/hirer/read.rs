use crate::app::view::OwnHire;
use crate::app::{App, hirer};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Follower, Language};
use actix_web::web::Data;
use handsel_domain::text::Lang;

/// Everything the link in `Authorization: Bearer` shows of its hire.
#[utoipa::path(
    get,
    path = "/hirer",
    operation_id = "readOwnHire",
    tag = "hirer",
    params(("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses((status = 200, body = OwnHire))
)]
pub(crate) async fn read(app: Data<App>, follower: Follower, lang: Language) -> Answer {
    Ok(ok(&hirer::read(&app, &follower, lang.0).await?))
}
