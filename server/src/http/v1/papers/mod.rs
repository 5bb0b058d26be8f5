//! Typeset documents.

pub(crate) mod record;
pub(crate) mod statement;

use crate::app::App;
use crate::app::papers::{Drafted, set};
use crate::http::answer::Answer;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_LANGUAGE, ETAG, IF_NONE_MATCH, VARY};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder};
use handsel_domain::text::Lang;
use utoipa::ToSchema;

/// The bytes of a PDF.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct PdfBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

/// Sends a document, unless the caller has it.
pub(crate) async fn sent(req: &HttpRequest, app: &App, drafted: Drafted, lang: Lang) -> Answer {
    let tag = format!("\"{}\"", drafted.tag);
    let known = req.headers().get_all(IF_NONE_MATCH).filter_map(|v| v.to_str().ok());
    let has =
        known.flat_map(|v| v.split(',')).map(str::trim).any(|k| k == "*" || k.strip_prefix("W/").unwrap_or(k) == tag);
    if has {
        return Ok(described(HttpResponse::NotModified(), &tag, &drafted, lang).finish());
    }
    let mut response = described(HttpResponse::Ok(), &tag, &drafted, lang);
    response.insert_header((CONTENT_DISPOSITION, format!("inline; filename=\"{}\"", drafted.file)));
    let bytes = set(app, drafted).await?;
    Ok(response.content_type("application/pdf").body(bytes))
}

fn described(mut response: HttpResponseBuilder, tag: &str, drafted: &Drafted, lang: Lang) -> HttpResponseBuilder {
    let keep = if drafted.lasting { "private, max-age=31536000, immutable" } else { "private, no-cache" };
    let language = match lang {
        Lang::En => "en",
        Lang::De => "de",
    };
    response
        .insert_header((ETAG, tag))
        .insert_header((VARY, "Accept-Language"))
        .insert_header((CONTENT_LANGUAGE, language))
        .insert_header((CACHE_CONTROL, keep));
    response
}
