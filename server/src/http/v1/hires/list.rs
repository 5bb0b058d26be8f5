use super::query::HireQuery;
use crate::app::App;
use crate::app::hires;
use crate::app::record::Hire;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::Caller;
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Hires: what is due by agreed departure or by due return, settled ones with the last settled first, anything else
/// with the latest departure first.
#[utoipa::path(
    get,
    path = "/hires",
    operation_id = "listHires",
    tag = "hires",
    params(HireQuery),
    responses((status = 200, body = Items<Hire>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<HireQuery>) -> Answer {
    let (filter, ask) = query.into_inner().ask()?;
    Ok(page(&req, hires::list(&app, &caller, filter, &ask).await?))
}
