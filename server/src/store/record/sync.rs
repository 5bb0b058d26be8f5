use handsel_domain::ids::{InspectionId, StaffId};
use handsel_domain::time::Instant;

/// An operation that was handled. What a refusal holds is the business of whoever refuses.
#[derive(Clone, Debug, PartialEq)]
pub struct Handled<R> {
    pub inspection: InspectionId,
    /// Who sent it.
    pub staff: StaffId,
    /// Who did it, where the device says so.
    pub author: Option<StaffId>,
    /// By the device's clock.
    pub done_at: Instant,
    pub received_at: Instant,
    /// None: it was applied.
    pub refusal: Option<R>,
}
