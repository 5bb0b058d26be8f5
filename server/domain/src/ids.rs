//! Typed identifiers. Every id is a UUID made by its author (a device or the server) and passed in:
//! this crate never makes one.

use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;

macro_rules! typed_id {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { fmt::Display::fmt(&self.0, f) }
        }
        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { write!(f, "{}({})", stringify!($name), self.0) }
        }
        impl std::str::FromStr for $name {
            type Err = uuid::Error;
            fn from_str(text: &str) -> Result<Self, Self::Err> { Uuid::parse_str(text).map(Self) }
        }
    )+};
}

typed_id! {
    /// A place vehicles go out from and come back to.
    DepotId,
    /// A member of staff.
    StaffId,
    /// A vehicle of the fleet.
    VehicleId,
    /// One version of a walk-round template.
    TemplateId,
    /// One version of a tariff.
    TariffId,
    /// One hire of one vehicle.
    HireId,
    /// A person who may drive on a hire.
    DriverId,
    /// One walk-round of a vehicle.
    InspectionId,
    /// One recorded answer of an inspection.
    EntryId,
    /// One damage of the register.
    MarkId,
    /// One stored photograph.
    PhotoId,
    /// One decision of the office on a proposed line.
    DecisionId,
    /// One movement of a deposit's ledger.
    MovementId,
    /// One browser's store of unsent operations, on one device.
    DeviceId,
    /// One change recorded on a device.
    OperationId,
    /// One addition to a sealed inspection.
    AddendumId,
    /// One photograph's bytes on their way.
    UploadId,
    /// One link by which a hirer reads their own hire.
    LinkId,
    /// One charge that a hirer disputes.
    DisputeId,
    /// One file of a bank that was read in.
    ImportId,
    /// One entry of a bank's statement.
    BankEntryId,
}
