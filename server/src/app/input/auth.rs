use serde::Deserialize;
use utoipa::ToSchema;

/// Who signs in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Login {
    pub email: String,
    #[schema(format = Password)]
    pub password: String,
}

/// The token that gets a new session.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RefreshToken {
    pub refresh_token: String,
}

// Secrets are kept out of logs.
impl std::fmt::Debug for Login {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Login").field("email", &self.email).finish_non_exhaustive()
    }
}

impl std::fmt::Debug for RefreshToken {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("RefreshToken").finish_non_exhaustive()
    }
}
