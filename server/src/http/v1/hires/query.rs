use crate::app::PageAsk;
use crate::app::input::{HireDue, HireFilter};
use crate::http::extract::page_ask;
use crate::http::problem::Refused;
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{DepotId, VehicleId};
use handsel_domain::time::Date;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which hires are listed.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct HireQuery {
    status: Option<HireStatus>,
    depot: Option<DepotId>,
    vehicle: Option<VehicleId>,
    /// Only what is due on or before `on`.
    due: Option<HireDue>,
    /// A day of each depot's own calendar; left out: today.
    on: Option<Date>,
    /// Words of the reference, a driver's name, the vehicle's name or its registration.
    q: Option<String>,
    /// How many, 1 to 200; 50 when left out.
    limit: Option<u32>,
    /// Where the page before ended; taken from its `Link` header.
    after: Option<String>,
}

impl HireQuery {
    pub(super) fn ask(self) -> Result<(HireFilter, PageAsk), Refused> {
        let ask = page_ask(self.limit, self.after.as_deref())?;
        let filter = HireFilter {
            status: self.status,
            depot: self.depot,
            vehicle: self.vehicle,
            due: self.due,
            on: self.on,
            words: self.q.filter(|q| !q.trim().is_empty()),
        };
        Ok((filter, ask))
    }
}
