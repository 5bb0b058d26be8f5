//! The headers of the protocol.

use crate::app::Code;
use crate::app::uploads::Progress;
use crate::http::extract::Caller;
use crate::http::middleware::TUS;
use crate::http::problem::Refused;
use crate::http::routes::BASE;
use actix_web::dev::Payload;
use actix_web::http::header::HttpDate;
use actix_web::{FromRequest, HttpRequest, HttpResponseBuilder};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use handsel_domain::ids::PhotoId;
use std::future::{Ready, ready};
use std::time::SystemTime;

/// A request that speaks the version which is spoken here.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tus;

impl FromRequest for Tus {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(match text(req, "Tus-Resumable") {
            Some(TUS) => Ok(Self),
            _ => Err(Refused::new(Code::TusVersion, format!("Send the header Tus-Resumable: {TUS}."))),
        })
    }
}

pub(super) fn text<'a>(req: &'a HttpRequest, name: &str) -> Option<&'a str> {
    req.headers().get(name).and_then(|value| value.to_str().ok()).map(str::trim)
}

/// A header that holds a count of bytes.
pub(super) fn bytes(req: &HttpRequest, name: &str) -> Result<u64, Refused> {
    let value = text(req, name).and_then(|value| value.parse().ok());
    value.ok_or_else(|| Refused::new(Code::HeaderInvalid, format!("{name} must hold a whole number of bytes.")))
}

/// The photograph an upload is of: `photo` of `Upload-Metadata`.
pub(super) fn photo(req: &HttpRequest) -> Result<PhotoId, Refused> {
    let pairs = text(req, "Upload-Metadata").unwrap_or_default().split(',');
    let encoded = pairs.filter_map(|pair| pair.trim().split_once(' ')).find(|(key, _)| *key == "photo");
    let decoded = encoded.and_then(|(_, value)| String::from_utf8(STANDARD.decode(value.trim()).ok()?).ok());
    decoded
        .and_then(|id| id.parse().ok())
        .ok_or_else(|| Refused::new(Code::HeaderInvalid, "Upload-Metadata must hold `photo` and its id in base64."))
}

/// The SHA-256 of a piece, where its sender says one.
pub(super) fn checksum(req: &HttpRequest) -> Result<Option<[u8; 32]>, Refused> {
    let Some(said) = text(req, "Upload-Checksum") else { return Ok(None) };
    let hash = said.split_once(' ').filter(|(algorithm, _)| *algorithm == "sha256");
    let hash = hash.and_then(|(_, hash)| STANDARD.decode(hash.trim()).ok()?.try_into().ok());
    hash.map(Some)
        .ok_or_else(|| Refused::new(Code::HeaderInvalid, "Upload-Checksum must hold `sha256` and the hash in base64."))
}

/// Tells how far an upload is.
pub(super) fn tell(response: &mut HttpResponseBuilder, progress: &Progress) {
    response.insert_header(("Upload-Offset", progress.offset.to_string()));
    response.insert_header(("Upload-Length", progress.length.to_string()));
    let expires = HttpDate::from(SystemTime::from(progress.expires_at.utc()));
    response.insert_header(("Upload-Expires", expires.to_string()));
    response.insert_header(("Handsel-Photo", if progress.arrived { "arrived" } else { "awaited" }));
}

pub(super) fn location(progress: &Progress) -> String {
    format!("{BASE}/uploads/{}", progress.id)
}

/// Whoever is at an upload, by the rules of the protocol.
pub(super) type By = (Tus, Caller);
