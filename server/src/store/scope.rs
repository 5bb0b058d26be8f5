use handsel_domain::ids::DepotId;

/// What of the fleet a caller reaches. Every query of vehicles, hires and what hangs on them starts from one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Every depot.
    All,
    /// One depot only.
    Depot(DepotId),
}

impl Scope {
    /// The scope of somebody who works for one depot, or for all.
    #[must_use]
    pub fn of(depot: Option<DepotId>) -> Self {
        depot.map_or(Self::All, Self::Depot)
    }

    #[must_use]
    pub fn reaches(self, depot: DepotId) -> bool {
        match self {
            Self::All => true,
            Self::Depot(own) => own == depot,
        }
    }

    pub(super) fn depot(self) -> Option<DepotId> {
        match self {
            Self::All => None,
            Self::Depot(own) => Some(own),
        }
    }
}
