use crate::app::view::ReportView;
use crate::app::{App, reports};
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Query};
use handsel_domain::ids::DepotId;
use handsel_domain::money::Currency;
use handsel_domain::time::Date;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which returns are reported on.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReportQuery {
    /// The first day, by each depot's own calendar.
    pub(super) from: Date,
    /// The last day, included.
    pub(super) to: Date,
    pub(super) depot: Option<DepotId>,
    /// Sums are of one currency.
    pub(super) currency: Currency,
    /// Language of tables; else by Accept-Language.
    #[serde(rename = "lang")]
    #[param(rename = "lang", value_type = Option<handsel_domain::text::Lang>)]
    pub(super) _lang: Option<String>,
}

/// What a period of returns comes to: charges, waivers and why, disputes, missed briefings, damage.
#[utoipa::path(
    get,
    path = "/reports",
    operation_id = "readReport",
    tag = "reports",
    params(ReportQuery),
    responses((status = 200, body = ReportView))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, query: Query<ReportQuery>) -> Answer {
    let asked = query.into_inner();
    let told = reports::read(&app, &caller, (asked.from, asked.to), asked.depot, asked.currency).await?;
    Ok(ok(&ReportView::from(told)))
}
