//! What callers ask for, one type for each deed. Unknown fields are refused.

mod auth;
mod bank;
mod fleet;
mod hire;
mod money;
mod office;
mod patch;
mod staff;
mod sync;
mod walk;

pub use auth::{Login, RefreshToken};
pub use bank::{EntryMatch, PutAside};
pub use fleet::{DepotEdit, NewDepot, NewVehicle, Repair, VehicleEdit};
pub use hire::{Cancel, DriverDetails, HireDue, HireEdit, HireFilter, NewExtension, NewHire};
pub use money::{Acceptance, Acceptances, NewDecision, NewMovement, Settle};
pub use office::{DisputeAnswer, NewDispute, NewLink};
pub use staff::{NewStaff, StaffEdit};
pub use sync::{Deed, Operation, Operations, Sent};
pub use walk::{
    AbsenceNote, AddendumInput, BriefingInput, BriefingOverride, EntryInput, Handover, MarkInput, NewInspection,
    PointerInput, SightingInput, Sign, SignatureInput, StartLeg,
};
