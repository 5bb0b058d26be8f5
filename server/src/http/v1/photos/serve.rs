//! An image that never changes under its address, for one form of it.

use crate::app::Served;
use crate::http::answer::Answer;
use actix_web::http::header::{CACHE_CONTROL, ETAG, IF_NONE_MATCH, VARY};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder};

/// Whether the caller has this very file already.
pub(super) fn has(req: &HttpRequest, served: &Served) -> bool {
    let tag = format!("\"{}\"", served.tag);
    let known = req.headers().get_all(IF_NONE_MATCH).filter_map(|v| v.to_str().ok());
    known.flat_map(|v| v.split(',')).map(str::trim).any(|k| k == "*" || k.strip_prefix("W/").unwrap_or(k) == tag)
}

/// Nothing to send.
pub(super) fn unchanged(served: &Served) -> Answer {
    Ok(described(HttpResponse::NotModified(), served).finish())
}

pub(crate) fn sent(served: &Served, bytes: Vec<u8>) -> Answer {
    Ok(described(HttpResponse::Ok(), served).content_type(served.media_type).body(bytes))
}

fn described(mut response: HttpResponseBuilder, served: &Served) -> HttpResponseBuilder {
    response
        .insert_header((ETAG, format!("\"{}\"", served.tag)))
        .insert_header((VARY, "Accept"))
        .insert_header((CACHE_CONTROL, "private, max-age=31536000, immutable"));
    response
}
