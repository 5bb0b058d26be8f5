use super::patch::present;
use handsel_domain::ids::{DepotId, StaffId};
use handsel_domain::policy::Role;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A new member of staff.
#[derive(Clone, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewStaff {
    pub id: StaffId,
    pub email: String,
    pub name: String,
    pub role: Role,
    /// Left out or null: every depot.
    #[serde(default)]
    pub depot: Option<DepotId>,
    /// At least 12 characters. Not part of the digest that tells a repeated request from a different one.
    #[serde(serialize_with = "withheld")]
    #[schema(format = Password, min_length = 12)]
    pub password: String,
}

/// Writes nothing of a password.
fn withheld<S: serde::Serializer>(_: &str, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str("")
}

/// A change to a member of staff.
#[derive(Clone, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StaffEdit {
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false)]
    pub name: Option<String>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Role, required = false)]
    pub role: Option<Role>,
    /// Null: every depot.
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Option<DepotId>, required = false)]
    pub depot: Option<Option<DepotId>>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = bool, required = false)]
    pub active: Option<bool>,
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = String, required = false, format = Password, min_length = 12)]
    pub password: Option<String>,
}

// Passwords are kept out of logs.
impl std::fmt::Debug for NewStaff {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("NewStaff").field("id", &self.id).field("email", &self.email).finish_non_exhaustive()
    }
}

impl std::fmt::Debug for StaffEdit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("StaffEdit").field("name", &self.name).field("role", &self.role).finish_non_exhaustive()
    }
}
