use handsel_domain::ids::{DepotId, StaffId};
use handsel_domain::policy::Role;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A member of staff.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Staff {
    pub id: StaffId,
    pub email: String,
    pub name: String,
    pub role: Role,
    /// The only depot they work for; none means every depot.
    #[schema(required = true)]
    pub depot: Option<DepotId>,
    /// Can sign in.
    pub active: bool,
    pub version: u32,
}
