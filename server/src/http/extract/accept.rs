use crate::app::{Code, Form};
use crate::http::problem::Refused;
use actix_web::dev::Payload;
use actix_web::http::header::ACCEPT;
use actix_web::{FromRequest, HttpRequest};
use std::future::{Ready, ready};

/// The form of an image that the caller likes best.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Accepted(pub(crate) Form);

impl FromRequest for Accepted {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let ranges: Vec<&str> = req.headers().get_all(ACCEPT).filter_map(|v| v.to_str().ok()).collect();
        let form = pick(&ranges.join(","));
        ready(form.map(Self).ok_or_else(|| {
            Refused::new(
                Code::NotAcceptable,
                "Photographs are had as image/jpeg or image/webp: accept one of these, or leave Accept out.",
            )
        }))
    }
}

/// The best of the two. Alike, WebP goes to those who name it, and JPEG, which everything reads, to all others.
fn pick(accept: &str) -> Option<Form> {
    if accept.trim().is_empty() {
        return Some(Form::Jpeg);
    }
    let (jpeg, _) = liked(accept, "image/jpeg");
    let (webp, named) = liked(accept, "image/webp");
    match (webp > jpeg || (webp == jpeg && named), webp, jpeg) {
        (_, 0, 0) => None,
        (true, ..) => Some(Form::WebP),
        (false, ..) => Some(Form::Jpeg),
    }
}

/// How much a type is liked, in thousandths, by the range that fits it closest (RFC 9110), and whether that names it.
fn liked(accept: &str, media_type: &str) -> (u32, bool) {
    let fits = |range: &str| match range {
        _ if range == media_type => Some(2),
        "image/*" => Some(1),
        "*/*" => Some(0),
        _ => None,
    };
    let ranges = accept.split(',').filter_map(|part| {
        let mut parameters = part.split(';').map(|p| p.trim().to_ascii_lowercase());
        let closeness = fits(&parameters.next()?)?;
        Some((closeness, parameters.find_map(|p| p.strip_prefix("q=").map(weight)).unwrap_or(1000)))
    });
    ranges.max_by_key(|(closeness, _)| *closeness).map_or((0, false), |(closeness, weight)| (weight, closeness == 2))
}

/// `0`, `1`, or up to three places between, in thousandths. What is written otherwise is not wanted at all.
fn weight(text: &str) -> u32 {
    let (whole, places) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    if places.len() > 3 || !places.bytes().all(|b| b.is_ascii_digit()) {
        return 0;
    }
    match (whole, format!("{places:0<3}").parse::<u32>()) {
        ("1", Ok(0)) => 1000,
        ("0", Ok(thousandths)) => thousandths,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::{Form, pick};

    #[test]
    fn the_form_liked_best_is_picked() {
        let (jpeg, webp) = (Some(Form::Jpeg), Some(Form::WebP));
        for (accept, wanted) in [
            ("", jpeg),
            ("*/*", jpeg),
            ("image/*", jpeg),
            ("image/webp", webp),
            ("image/jpeg", jpeg),
            ("image/avif,image/webp,image/png,image/svg+xml,image/*;q=0.8,*/*;q=0.5", webp),
            ("image/webp,*/*", webp),
            ("image/webp;q=0.5,image/jpeg", jpeg),
            ("image/webp;q=0.5, image/jpeg;q=0.4", webp),
            ("image/webp;q=0.5,image/jpeg;q=0.500", webp),
            ("image/webp;q=0, */*;q=0.1", jpeg),
            ("image/jpeg;q=0,image/*", webp),
            ("IMAGE/WEBP ; Q=1.0", webp),
            ("image/webp;q=nonsense,image/jpeg;q=0.1", jpeg),
            ("text/html", None),
            ("image/png", None),
            ("*/*;q=0", None),
        ] {
            assert_eq!(pick(accept), wanted, "{accept}");
        }
    }
}
