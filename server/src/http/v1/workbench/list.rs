use crate::app::view::Waiting;
use crate::app::{App, Blocked, workbench};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, page_ask};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};
use handsel_domain::ids::DepotId;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which returns are listed.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct WorkbenchQuery {
    depot: Option<DepotId>,
    /// Only what this stands in the way of.
    blocked: Option<Blocked>,
    /// How many, 1 to 200; 50 when left out.
    limit: Option<u32>,
    /// Where the page before ended; taken from its `Link` header.
    after: Option<String>,
}

/// Returns that wait for the office, the oldest promise first, each with what stands in its way.
#[utoipa::path(
    get,
    path = "/workbench",
    operation_id = "listWaiting",
    tag = "workbench",
    params(WorkbenchQuery),
    responses((status = 200, body = Items<Waiting>))
)]
pub(crate) async fn list(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<WorkbenchQuery>) -> Answer {
    let query = query.into_inner();
    let ask = page_ask(query.limit, query.after.as_deref())?;
    Ok(page(&req, workbench::waiting(&app, &caller, query.depot, query.blocked, &ask).await?))
}
