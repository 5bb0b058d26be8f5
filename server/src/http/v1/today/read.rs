use crate::app::App;
use crate::app::today;
use crate::app::view::Today;
use crate::http::answer::{Answer, tagged_by_content};
use crate::http::extract::{Caller, Language};
use actix_web::web::{Data, Query};
use handsel_domain::ids::DepotId;
use handsel_domain::text::Lang;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which depot's day.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct TodayQuery {
    /// Left out: every depot within reach.
    depot: Option<DepotId>,
    /// Language of the words; else by Accept-Language.
    #[serde(rename = "lang")]
    _lang: Option<Lang>,
}

/// What goes out and comes back today and tomorrow, with vehicles, walk-rounds, tariffs, registers and everything
/// recorded so far: for a device that goes where there is no connection.
#[utoipa::path(
    get,
    path = "/today",
    operation_id = "readToday",
    tag = "hires",
    params(TodayQuery),
    responses((status = 200, body = Today))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, lang: Language, query: Query<TodayQuery>) -> Answer {
    tagged_by_content(&today::read(&app, &caller, query.depot, lang.0).await?)
}
