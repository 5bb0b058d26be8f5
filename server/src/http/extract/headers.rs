use crate::app::Code;
use crate::http::problem::Refused;
use actix_web::dev::Payload;
use actix_web::http::header::{ACCEPT_LANGUAGE, IF_MATCH};
use actix_web::{FromRequest, HttpRequest};
use handsel_domain::text::Lang;
use std::future::{Ready, ready};

/// The version an edit was made from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct IfMatch(pub(crate) u32);

impl FromRequest for IfMatch {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(read_if_match(req))
    }
}

fn read_if_match(req: &HttpRequest) -> Result<IfMatch, Refused> {
    let Some(value) = req.headers().get(IF_MATCH) else {
        return Err(Refused::new(
            Code::IfMatchRequired,
            "Send the ETag of the version you read in an If-Match header, such as If-Match: \"3\".",
        ));
    };
    let version = value.to_str().ok().and_then(|v| v.strip_prefix('"')?.strip_suffix('"')?.parse().ok());
    version.map(IfMatch).ok_or_else(|| {
        Refused::new(Code::HeaderInvalid, "If-Match must hold one ETag as it was read, such as If-Match: \"3\".")
    })
}

/// The language of the words: `?lang=` if given, else the best of `Accept-Language`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Language(pub(crate) Lang);

impl FromRequest for Language {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(read_language(req))
    }
}

fn read_language(req: &HttpRequest) -> Result<Language, Refused> {
    match req.query_string().split('&').find_map(|pair| pair.strip_prefix("lang=")) {
        Some("en") => Ok(Language(Lang::En)),
        Some("de") => Ok(Language(Lang::De)),
        Some(other) => Err(Refused::new(Code::QueryInvalid, format!("lang={other} is not spoken here: use en or de."))),
        None => {
            let accepted = req.headers().get(ACCEPT_LANGUAGE).and_then(|v| v.to_str().ok());
            Ok(Language(accepted.map_or_else(Lang::default, Lang::pick)))
        }
    }
}
