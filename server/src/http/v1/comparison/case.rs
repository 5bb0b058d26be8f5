use crate::app::App;
use crate::app::comparison;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::case::Case;
use handsel_domain::ids::HireId;

/// The whole case in one document: what `handsel compare` reads.
#[utoipa::path(
    get,
    path = "/hires/{id}/case",
    operation_id = "readCase",
    tag = "comparison",
    params(("id" = HireId, Path)),
    responses((status = 200, body = Case))
)]
pub(crate) async fn case(app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    Ok(ok(&comparison::case(&app, &caller, id.into_inner()).await?))
}
