//! Passwords, hashed with argon2id (19 MiB, two passes, one lane), on threads of their own.

use crate::app::Refusal;
use crate::effects::Effects;
use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};

const MEMORY_KIB: u32 = 19_456;
const PASSES: u32 = 2;
const LANES: u32 = 1;

fn hasher() -> Result<Argon2<'static>, argon2::Error> {
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, Params::new(MEMORY_KIB, PASSES, LANES, None)?))
}

fn hash_with(password: &str, salt: &[u8]) -> Result<String, String> {
    let hasher = hasher().map_err(|e| e.to_string())?;
    let hash: PasswordHash = hasher.hash_password_with_salt(password.as_bytes(), salt).map_err(|e| e.to_string())?;
    Ok(hash.to_string())
}

/// The hash of a new password.
pub(in crate::app) async fn hash(effects: &Effects, password: String) -> Result<String, Refusal> {
    let mut salt = [0_u8; 16];
    effects.random.fill(&mut salt);
    let work = tokio::task::spawn_blocking(move || hash_with(&password, &salt));
    work.await.map_err(Refusal::internal)?.map_err(Refusal::internal)
}

/// Whether a password is the one hashed. Without a hash it is not, and finding that out takes as long.
pub(super) async fn matches(password: String, known: Option<String>) -> Result<bool, Refusal> {
    let work = tokio::task::spawn_blocking(move || {
        let Some(known) = known else {
            return hash_with(&password, b"nobody has this one").map(|_| false);
        };
        let known = PasswordHash::new(&known).map_err(|e| e.to_string())?;
        let hasher = hasher().map_err(|e| e.to_string())?;
        Ok(hasher.verify_password(password.as_bytes(), &known).is_ok())
    });
    work.await.map_err(Refusal::internal)?.map_err(Refusal::internal)
}
