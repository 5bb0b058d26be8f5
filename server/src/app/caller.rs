use super::{Code, Refusal};
use crate::store::Scope;
use crate::store::record::Staff;
use handsel_domain::ids::StaffId;
use handsel_domain::policy::{self, Action, Role};

/// Who asks, in what role, and what of the fleet they reach.
#[derive(Clone, Copy, Debug)]
pub struct Caller {
    pub staff: StaffId,
    pub role: Role,
    pub scope: Scope,
}

impl Caller {
    #[must_use]
    pub fn of(staff: &Staff) -> Self {
        Self { staff: staff.id, role: staff.role, scope: Scope::of(staff.depot) }
    }

    /// # Errors
    /// The caller's role does not do this.
    pub fn must(&self, action: Action) -> Result<(), Refusal> {
        if policy::allows(self.role, action) {
            return Ok(());
        }
        let able: Vec<String> = Role::ALL
            .into_iter()
            .filter(|r| policy::allows(*r, action))
            .map(|r| format!("{r:?}").to_lowercase())
            .collect();
        Err(Refusal::new(
            Code::Forbidden,
            format!("This is done by somebody with the role {}; ask them.", able.join(", ")),
        ))
    }
}
