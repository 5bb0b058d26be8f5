//! What callers ask for, one type for each deed. Unknown fields are refused.

mod auth;
mod fleet;
mod hire;
mod money;
mod patch;
mod staff;
mod sync;
mod walk;

pub use auth::{Login, RefreshToken};
pub use fleet::{DepotEdit, NewDepot, NewVehicle, Repair, VehicleEdit};
pub use hire::{Cancel, DriverDetails, HireDue, HireEdit, HireFilter, NewExtension, NewHire};
pub use money::{NewDecision, NewMovement, Settle};
pub use staff::{NewStaff, StaffEdit};
pub use sync::{Deed, Operation, Operations, Sent};
pub use walk::{
    AbsenceNote, AddendumInput, BriefingInput, BriefingOverride, EntryInput, Handover, MarkInput, NewInspection,
    PointerInput, SightingInput, Sign, SignatureInput, StartLeg,
};
