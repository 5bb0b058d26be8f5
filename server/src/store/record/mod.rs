//! What is stored, in the shapes the rest of the server works with. No database in here: these are plain values.

mod bank;
mod fleet;
mod hire;
mod money;
mod office;
mod photo;
mod seal;
mod staff;
mod sync;
mod upload;
mod walk;

pub use bank::{BankEntry, BankEntryState, BankFormat, BankImport, BankMatch, ImportState};
pub use fleet::{Addition, CylinderPlace, Depot, Figures, Fitted, RegisterMark, RegisterState, Seen, Vehicle};
pub use hire::{Driver, Hire};
pub use money::{DecisionView, LedgerMovement, StoredMovement};
pub use office::{Contest, ContestPhoto, Erasure, Letter, LetterKind, Link, Notice, NoticeKind, Standing};
pub use photo::{Disposed, Disposition, Fact, PhotoFile, Photograph, PointedState, Pointer, Pointing, Sighted};
pub use seal::{Addendum, Dispute, Seal};
pub use staff::Staff;
pub use sync::Handled;
pub use upload::Upload;
pub use walk::{InspectionHead, StrokedSignature};
