use crate::app::App;
use crate::app::record::Staff;
use crate::app::staff;
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, PageQuery};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};

/// Staff, by name.
#[utoipa::path(
    get,
    path = "/staff",
    operation_id = "listStaff",
    tag = "staff",
    params(PageQuery),
    responses((status = 200, body = Items<Staff>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<PageQuery>) -> Answer {
    Ok(page(&req, staff::list(&app, &caller, &query.ask()?).await?))
}
