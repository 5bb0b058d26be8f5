use crate::app::PageAsk;
use crate::http::problem::Refused;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which page of a list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageQuery {
    /// How many, 1 to 200; 50 when left out.
    limit: Option<u32>,
    /// Where the page before ended; taken from its `Link` header.
    after: Option<String>,
}

impl PageQuery {
    pub(crate) fn ask(&self) -> Result<PageAsk, Refused> {
        page_ask(self.limit, self.after.as_deref())
    }
}

pub(crate) fn page_ask(limit: Option<u32>, after: Option<&str>) -> Result<PageAsk, Refused> {
    Ok(PageAsk::new(limit, after)?)
}
