//! The server's own key: what it signs cannot be made by anybody else, and can be checked by everybody.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ed25519_dalek::{Signer, SigningKey};
use sha2::{Digest, Sha256};
use std::fmt;

/// What stands before the 32 bytes of an Ed25519 key: private (PKCS #8), and public (SubjectPublicKeyInfo).
const PRIVATE: [u8; 16] = [0x30, 0x2e, 2, 1, 0, 0x30, 5, 6, 3, 0x2b, 0x65, 0x70, 4, 0x22, 4, 0x20];
const PUBLIC: [u8; 12] = [0x30, 0x2a, 0x30, 5, 6, 3, 0x2b, 0x65, 0x70, 3, 0x21, 0];
const PEM_LINE: usize = 64;

/// An Ed25519 key (RFC 8032).
#[derive(Clone)]
pub struct SealKey {
    key: SigningKey,
    id: String,
}

// The key is kept out of logs.
impl fmt::Debug for SealKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("SealKey").field("id", &self.id).finish_non_exhaustive()
    }
}

impl SealKey {
    #[must_use]
    pub fn of(secret: &[u8; 32]) -> Self {
        let key = SigningKey::from_bytes(secret);
        let id = hex::encode(Sha256::digest(public_der(&key)));
        Self { key, id }
    }

    /// From a private key as PKCS #8 in PEM, such as `openssl genpkey -algorithm ed25519` writes.
    ///
    /// # Errors
    /// What it is instead.
    pub fn read(pem: &str) -> Result<Self, String> {
        let body: String = pem.lines().filter(|line| !line.starts_with("-----")).map(str::trim).collect();
        let der = STANDARD.decode(body).map_err(|e| format!("it is not PEM: {e}"))?;
        let secret = der.strip_prefix(&PRIVATE).and_then(|rest| <[u8; 32]>::try_from(rest).ok());
        secret.map(|s| Self::of(&s)).ok_or_else(|| "it is no Ed25519 private key in PKCS #8".to_owned())
    }

    /// As [`Self::read`] reads it.
    #[must_use]
    pub fn to_pem(&self) -> String {
        pem("PRIVATE KEY", &[&PRIVATE[..], self.key.as_bytes()].concat())
    }

    /// SHA-256 of the public key's DER, in lower-case hexadecimal.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The public key, in PEM.
    #[must_use]
    pub fn public_pem(&self) -> String {
        pem("PUBLIC KEY", &public_der(&self.key))
    }

    /// The signature of some bytes: 64 of them.
    #[must_use]
    pub fn sign_raw(&self, bytes: &[u8]) -> [u8; 64] {
        self.key.sign(bytes).to_bytes()
    }

    /// The signature of a text, in base64.
    #[must_use]
    pub fn sign(&self, text: impl AsRef<[u8]>) -> String {
        STANDARD.encode(self.key.sign(text.as_ref()).to_bytes())
    }
}

fn public_der(key: &SigningKey) -> Vec<u8> {
    [&PUBLIC[..], key.verifying_key().as_bytes()].concat()
}

fn pem(what: &str, der: &[u8]) -> String {
    let text = STANDARD.encode(der);
    let mut lines = String::new();
    let mut rest = text.as_str();
    while !rest.is_empty() {
        let (line, more) = rest.split_at(rest.len().min(PEM_LINE));
        lines.push_str(line);
        lines.push('\n');
        rest = more;
    }
    format!("-----BEGIN {what}-----\n{lines}-----END {what}-----\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_read_as_it_was_written() {
        let key = SealKey::of(&[7; 32]);
        let again = SealKey::read(&key.to_pem()).unwrap();
        assert_eq!((again.id(), again.public_pem()), (key.id(), key.public_pem()));
        assert_eq!(again.sign("text"), key.sign("text"));
        assert!(SealKey::read(&key.public_pem()).is_err());
        assert!(SealKey::read("nothing").is_err());
        assert!(!format!("{key:?}").contains("7, 7"));
    }
}
