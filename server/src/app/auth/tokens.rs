//! Access tokens: signed, short-lived, naming only who holds them. Refresh tokens: random, kept only as a hash.

use crate::app::{Code, Refusal};
use crate::effects::Effects;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use handsel_domain::ids::{LinkId, StaffId};
use handsel_domain::time::Instant;
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation, decode, encode};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;
use uuid::Uuid;

const ISSUER: &str = "handsel";
const AUDIENCE: &str = "handsel-api";
const TYPE: &str = "access";
const LINK_AUDIENCE: &str = "handsel-hirer";
const LINK_TYPE: &str = "link";
const ACCESS_SECONDS: i64 = 15 * 60;

#[derive(Debug, Serialize, Deserialize)]
struct Claims {
    iss: String,
    aud: String,
    sub: StaffId,
    iat: i64,
    exp: i64,
    jti: Uuid,
    /// Tells an access token from any other that the same key may come to sign.
    typ: String,
}

#[derive(Debug, Serialize, Deserialize)]
struct LinkClaims {
    iss: String,
    aud: String,
    sub: LinkId,
    iat: i64,
    exp: i64,
    typ: String,
}

/// Signs and reads access tokens, and what hirers' links carry.
#[derive(Clone)]
pub struct Tokens {
    encoding: EncodingKey,
    decoding: DecodingKey,
}

impl fmt::Debug for Tokens {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Tokens")
    }
}

impl Tokens {
    #[must_use]
    pub fn new(secret: &[u8]) -> Self {
        Self { encoding: EncodingKey::from_secret(secret), decoding: DecodingKey::from_secret(secret) }
    }

    pub(super) fn issue(&self, staff: StaffId, id: Uuid, now: Instant) -> Result<(String, Instant), Refusal> {
        let expires = now.plus_seconds(ACCESS_SECONDS);
        let claims = Claims {
            iss: ISSUER.to_owned(),
            aud: AUDIENCE.to_owned(),
            sub: staff,
            iat: now.utc().timestamp(),
            exp: expires.utc().timestamp(),
            jti: id,
            typ: TYPE.to_owned(),
        };
        let token = encode(&Header::new(Algorithm::HS256), &claims, &self.encoding).map_err(Refusal::internal)?;
        Ok((token, expires))
    }

    pub(super) fn read(&self, token: &str, now: Instant) -> Result<StaffId, Refusal> {
        let mut wanted = Validation::new(Algorithm::HS256);
        wanted.set_issuer(&[ISSUER]);
        wanted.set_audience(&[AUDIENCE]);
        wanted.set_required_spec_claims(&["exp", "iss", "aud", "sub"]);
        // The library reads the machine's clock; the expiry is checked below against the one passed in.
        wanted.validate_exp = false;
        let read = decode::<Claims>(token, &self.decoding, &wanted).ok().filter(|t| t.claims.typ == TYPE);
        let Some(read) = read else {
            return Err(Refusal::new(
                Code::Unauthenticated,
                "The access token is not one of this server's. Sign in again.",
            ));
        };
        if read.claims.exp <= now.utc().timestamp() {
            return Err(Refusal::new(Code::TokenExpired, "The access token has run out: renew the session."));
        }
        Ok(read.claims.sub)
    }
}

impl Tokens {
    /// What a hirer's link carries: the link's id, signed, with its end.
    pub(in crate::app) fn link(&self, id: LinkId, issued: Instant, expires: Instant) -> Result<String, Refusal> {
        let claims = LinkClaims {
            iss: ISSUER.to_owned(),
            aud: LINK_AUDIENCE.to_owned(),
            sub: id,
            iat: issued.utc().timestamp(),
            exp: expires.utc().timestamp(),
            typ: LINK_TYPE.to_owned(),
        };
        encode(&Header::new(Algorithm::HS256), &claims, &self.encoding).map_err(Refusal::internal)
    }

    pub(in crate::app) fn read_link(&self, token: &str, now: Instant) -> Result<LinkId, Refusal> {
        let mut wanted = Validation::new(Algorithm::HS256);
        wanted.set_issuer(&[ISSUER]);
        wanted.set_audience(&[LINK_AUDIENCE]);
        wanted.set_required_spec_claims(&["exp", "iss", "aud", "sub"]);
        wanted.validate_exp = false;
        let read = decode::<LinkClaims>(token, &self.decoding, &wanted).ok().filter(|t| t.claims.typ == LINK_TYPE);
        let Some(read) = read else {
            return Err(Refusal::new(
                Code::LinkInvalid,
                "This link is not complete or not one of this operator's. Open it as it came, or ask for another.",
            ));
        };
        if read.claims.exp <= now.utc().timestamp() {
            return Err(Refusal::new(Code::LinkExpired, "This link has run out. Ask the hire desk for another."));
        }
        Ok(read.claims.sub)
    }
}

/// A token nobody can guess: 256 random bits.
pub(super) fn opaque(effects: &Effects) -> String {
    let mut bytes = [0_u8; 32];
    effects.random.fill(&mut bytes);
    URL_SAFE_NO_PAD.encode(bytes)
}

/// What is kept of a refresh token. It is random and long, so a plain hash is enough.
pub(super) fn fingerprint(token: &str) -> String {
    hex::encode(Sha256::digest(token))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: &str = "2026-03-28T10:00:00Z";

    fn code(read: Result<StaffId, Refusal>) -> Code {
        read.unwrap_err().code
    }

    #[test]
    fn a_token_runs_out_and_one_of_another_key_or_kind_is_not_taken() {
        let (now, staff) = (NOW.parse::<Instant>().unwrap(), StaffId(Uuid::from_u128(7)));
        let tokens = Tokens::new(b"one secret");
        let (token, expires) = tokens.issue(staff, Uuid::from_u128(1), now).unwrap();
        assert_eq!(tokens.read(&token, now).unwrap(), staff);
        assert_eq!(code(tokens.read(&token, expires)), Code::TokenExpired);
        assert_eq!(code(Tokens::new(b"another").read(&token, now)), Code::Unauthenticated);

        let mut claims = decode::<Claims>(&token, &tokens.decoding, &{
            let mut all = Validation::new(Algorithm::HS256);
            all.validate_exp = false;
            all.validate_aud = false;
            all
        })
        .unwrap()
        .claims;
        claims.typ = "refresh".to_owned();
        let other_kind = encode(&Header::new(Algorithm::HS256), &claims, &tokens.encoding).unwrap();
        assert_eq!(code(tokens.read(&other_kind, now)), Code::Unauthenticated);
        claims.typ = TYPE.to_owned();
        let other_algorithm = encode(&Header::new(Algorithm::HS512), &claims, &tokens.encoding).unwrap();
        assert_eq!(code(tokens.read(&other_algorithm, now)), Code::Unauthenticated);
    }
}
