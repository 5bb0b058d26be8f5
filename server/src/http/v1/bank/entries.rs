use crate::app::record::BankEntryState;
use crate::app::view::BankEntryView;
use crate::app::{App, bank};
use crate::http::answer::{Answer, Items, page};
use crate::http::extract::{Caller, page_ask};
use actix_web::HttpRequest;
use actix_web::web::{Data, Query};
use serde::Deserialize;
use utoipa::IntoParams;

/// Which entries are listed.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct EntryQuery {
    /// `open` when left out.
    state: Option<BankEntryState>,
    /// How many, 1 to 200; 50 when left out.
    limit: Option<u32>,
    /// Where the page before ended; taken from its `Link` header.
    after: Option<String>,
}

/// Entries of banks' statements, the earliest first: open ones with the movements they could be.
#[utoipa::path(
    get,
    path = "/bank/entries",
    operation_id = "listBankEntries",
    tag = "bank",
    params(EntryQuery),
    responses((status = 200, body = Items<BankEntryView>))
)]
pub(crate) async fn entries(req: HttpRequest, app: Data<App>, caller: Caller, query: Query<EntryQuery>) -> Answer {
    let query = query.into_inner();
    let ask = page_ask(query.limit, query.after.as_deref())?;
    let state = query.state.unwrap_or(BankEntryState::Open);
    Ok(page(&req, bank::entries(&app, &caller, state, &ask).await?))
}
