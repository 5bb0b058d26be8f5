use super::InspectionView;
use crate::store::record::{Hire, Vehicle};
use handsel_domain::inspection::Mark;
use handsel_domain::tariff::Tariff;
use handsel_domain::template::Template;
use handsel_domain::time::Instant;
use serde::Serialize;
use utoipa::ToSchema;

/// What goes out and comes back until tomorrow ends, with everything it takes to do it without a connection.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Today {
    /// By the server's clock.
    pub at: Instant,
    /// Departures first, then returns, each with the most urgent first.
    pub hires: Vec<TodayHire>,
    /// Those the hires name.
    pub tariffs: Vec<Tariff>,
}

/// One hire of the day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TodayHire {
    pub hire: Hire,
    pub vehicle: Vehicle,
    /// The walk-round as it is asked of this vehicle.
    pub template: Template,
    /// Damage that can be looked at again: at return what was open when it went out, else what is open now.
    pub register: Vec<Mark>,
    /// The departure, once started; its photographs are those to show beside the return's.
    #[schema(required = true)]
    pub departure: Option<InspectionView>,
    #[serde(rename = "return")]
    #[schema(required = true)]
    pub return_: Option<InspectionView>,
}
