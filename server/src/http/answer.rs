//! The shapes answers take: JSON, with an entity tag, as a page of a list, or the very bytes answered before.

use super::problem::Refused;
use crate::app::{Made, Page, Refusal, Replayed};
use actix_web::http::StatusCode;
use actix_web::http::header::{CONTENT_SECURITY_POLICY, ContentType, ETAG, LINK};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder};
use serde::Serialize;
use sha2::{Digest, Sha256};
use utoipa::ToSchema;

/// What every handler answers.
pub(crate) type Answer = Result<HttpResponse, Refused>;

/// One page of a list. The next one is linked in the `Link` header.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Items<T: ToSchema> {
    pub(crate) items: Vec<T>,
}

/// The bytes of an image.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct ImageBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

pub(super) fn json(status: StatusCode, value: &impl Serialize) -> HttpResponse {
    HttpResponseBuilder::new(status).json(value)
}

pub(super) fn ok(value: &impl Serialize) -> HttpResponse {
    json(StatusCode::OK, value)
}

/// With the version that an edit must name.
pub(super) fn tagged(status: StatusCode, version: u32, value: &impl Serialize) -> HttpResponse {
    HttpResponseBuilder::new(status).insert_header((ETAG, format!("\"{version}\""))).json(value)
}

/// 201 for something new, 200 for what was already there.
pub(super) fn status<T>(made: &Made<T>) -> StatusCode {
    if made.fresh { StatusCode::CREATED } else { StatusCode::OK }
}

pub(super) fn made<T: Serialize>(made: &Made<T>) -> HttpResponse {
    json(status(made), &made.value)
}

pub(super) fn no_content() -> HttpResponse {
    HttpResponse::NoContent().finish()
}

/// The answer of a deed that is done once, new or as it was given before.
pub(super) fn replayed(answer: Replayed) -> HttpResponse {
    let mut response = HttpResponse::Ok();
    if let Some(version) = answer.version {
        response.insert_header((ETAG, format!("\"{version}\"")));
    }
    response.content_type(ContentType::json()).body(answer.body)
}

pub(super) fn page<T: Serialize + ToSchema>(req: &HttpRequest, page: Page<T>) -> HttpResponse {
    let mut response = HttpResponse::Ok();
    if let Some(after) = page.next {
        let kept = req.query_string().split('&').filter(|pair| !pair.is_empty() && !pair.starts_with("after="));
        let query: Vec<String> = kept.map(str::to_owned).chain([format!("after={after}")]).collect();
        response.insert_header((LINK, format!("<{}?{}>; rel=\"next\"", req.path(), query.join("&"))));
    }
    response.json(Items { items: page.items })
}

/// Tagged by what it says, for what is reckoned anew each time.
pub(super) fn tagged_by_content(value: &impl Serialize) -> Answer {
    let body = serde_json::to_vec(value).map_err(|e| Refused::from(Refusal::internal(e)))?;
    let tag = hex::encode(Sha256::digest(&body));
    let tag = tag.get(..32).unwrap_or(&tag);
    Ok(HttpResponse::Ok().insert_header((ETAG, format!("\"{tag}\""))).content_type(ContentType::json()).body(body))
}

/// A page to read. It brings its own styles and needs nothing else.
pub(super) fn html(page: String) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(ContentType::html())
        .insert_header((
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
        ))
        .body(page)
}
