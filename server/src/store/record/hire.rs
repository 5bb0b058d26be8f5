use handsel_domain::case::{CaseHire, Extension, OdometerReplacement, OutsideExcess};
use handsel_domain::deposit::Means;
use handsel_domain::hire::{HireState, HireStatus};
use handsel_domain::ids::{DepotId, DriverId, HireId, InspectionId, TariffId, VehicleId};
use handsel_domain::money::Money;
use handsel_domain::template::Key;
use handsel_domain::time::{Instant, Zone};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One hire of one vehicle.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Hire {
    pub id: HireId,
    /// The operator's own reference, unique.
    pub reference: String,
    pub depot: DepotId,
    pub vehicle: VehicleId,
    pub tariff: TariffId,
    pub status: HireStatus,
    pub agreed_departure: Instant,
    pub agreed_return: Instant,
    /// Oldest first; the last one's return holds.
    pub extensions: Vec<Extension>,
    /// The agreed return, as last extended.
    pub due_back: Instant,
    /// Most the hirer owes for damage.
    pub excess: Money,
    pub outside_excess: OutsideExcess,
    /// The deposit agreed.
    pub deposit: Money,
    pub deposit_means: Means,
    pub new_to_layout: bool,
    pub pets: bool,
    pub trailer: bool,
    pub trips: Vec<Key>,
    #[schema(required = true)]
    pub odometer_replacement: Option<OdometerReplacement>,
    pub drivers: Vec<Driver>,
    #[schema(required = true)]
    pub departed_at: Option<Instant>,
    #[schema(required = true)]
    pub returned_at: Option<Instant>,
    #[schema(required = true)]
    pub settled_at: Option<Instant>,
    #[schema(required = true)]
    pub cancelled_at: Option<Instant>,
    /// When the drivers' personal data was erased.
    #[schema(required = true)]
    pub erased_at: Option<Instant>,
    #[schema(required = true)]
    pub cancel_reason: Option<String>,
    /// The departure inspection, once started.
    #[schema(required = true)]
    pub departure: Option<InspectionId>,
    /// The return inspection, once started.
    #[serde(rename = "return")]
    #[schema(required = true)]
    pub return_: Option<InspectionId>,
    /// The depot's zone.
    pub zone: Zone,
    pub vehicle_name: String,
    pub vehicle_registration: String,
    pub version: u32,
}

impl Hire {
    /// Where the hire stands; a row whose moments do not fit its status is reported as damaged.
    ///
    /// # Errors
    /// What is missing.
    pub fn state(&self) -> Result<HireState, String> {
        let missing = |what: &str| format!("hire {} is {:?} without {what}", self.id, self.status);
        let departed_at = self.departed_at.ok_or_else(|| missing("departed_at"));
        let returned_at = self.returned_at.ok_or_else(|| missing("returned_at"));
        Ok(match self.status {
            HireStatus::Booked => HireState::Booked,
            HireStatus::Out => HireState::Out { departed_at: departed_at? },
            HireStatus::Returned => HireState::Returned { departed_at: departed_at?, returned_at: returned_at? },
            HireStatus::Settled => HireState::Settled {
                departed_at: departed_at?,
                returned_at: returned_at?,
                settled_at: self.settled_at.ok_or_else(|| missing("settled_at"))?,
            },
            HireStatus::Cancelled => {
                HireState::Cancelled { cancelled_at: self.cancelled_at.ok_or_else(|| missing("cancelled_at"))? }
            }
        })
    }

    /// Takes over what a transition changed.
    pub fn enter(&mut self, state: HireState) {
        self.status = state.status();
        match state {
            HireState::Booked => {}
            HireState::Out { departed_at } => self.departed_at = Some(departed_at),
            HireState::Returned { returned_at, .. } => self.returned_at = Some(returned_at),
            HireState::Settled { settled_at, .. } => self.settled_at = Some(settled_at),
            HireState::Cancelled { cancelled_at } => self.cancelled_at = Some(cancelled_at),
        }
    }

    /// What was agreed, as the reckoning takes it.
    #[must_use]
    pub fn agreed(&self) -> CaseHire {
        CaseHire {
            id: self.id,
            reference: self.reference.clone(),
            agreed_departure: self.agreed_departure,
            agreed_return: self.agreed_return,
            extensions: self.extensions.clone(),
            excess: self.excess,
            outside_excess: self.outside_excess.clone(),
            new_to_layout: self.new_to_layout,
            pets: self.pets,
            trailer: self.trailer,
            trips: self.trips.clone(),
        }
    }

    /// The driver the agreement is with.
    #[must_use]
    pub fn hirer(&self) -> Option<&Driver> {
        self.drivers.iter().find(|d| d.lead).or_else(|| self.drivers.first())
    }
}

/// A person who may drive on a hire.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Driver {
    pub id: DriverId,
    pub name: String,
    #[serde(default)]
    pub email: String,
    #[serde(default)]
    pub phone: String,
    /// The hirer: the agreement is with this driver.
    #[serde(default)]
    pub lead: bool,
}
