use crate::app::{Code, Fault, Idempotency, Refusal};
use crate::http::problem::Refused;
use actix_web::dev::Payload;
use actix_web::error::PayloadError;
use actix_web::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use actix_web::web::{self, Bytes, BytesMut};
use actix_web::{FromRequest, HttpRequest};
use futures_util::future::LocalBoxFuture;
use futures_util::{Stream, StreamExt};
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;
use sha2::{Digest, Sha256};

/// Most a JSON body may hold.
const JSON_LIMIT: usize = 1024 * 1024;
/// Most a photograph may hold.
const PHOTO_LIMIT: usize = 25 * 1024 * 1024;
/// Largest file that is read at once.
const FILE_LIMIT: usize = 2 * 1024 * 1024;
/// Longest idempotency key.
const KEY_LIMIT: usize = 200;

/// A JSON body, read strictly: what is wrong is told with the path to it.
#[derive(Debug)]
pub(crate) struct Json<T>(T);

impl<T> Json<T> {
    pub(crate) fn into_inner(self) -> T {
        self.0
    }
}

impl<T: DeserializeOwned + 'static> FromRequest for Json<T> {
    type Error = Refused;
    type Future = LocalBoxFuture<'static, Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (req, payload) = (req.clone(), payload.take());
        Box::pin(async move { Ok(Self(parse(&json_bytes(&req, payload).await?)?)) })
    }
}

/// A JSON body of a deed that is done once, with its idempotency key.
#[derive(Debug)]
pub(crate) struct Once<T> {
    pub(crate) idempotency: Idempotency,
    pub(crate) body: T,
}

impl<T: DeserializeOwned + 'static> FromRequest for Once<T> {
    type Error = Refused;
    type Future = LocalBoxFuture<'static, Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (req, payload) = (req.clone(), payload.take());
        Box::pin(async move {
            let key = idempotency_key(&req)?;
            let bytes = json_bytes(&req, payload).await?;
            let body = parse(&bytes)?;
            let mut digest = Sha256::new();
            for part in [req.method().as_str().as_bytes(), b" ", req.path().as_bytes(), b"\n", &bytes] {
                digest.update(part);
            }
            Ok(Self { idempotency: Idempotency { key, digest: hex::encode(digest.finalize()) }, body })
        })
    }
}

fn idempotency_key(req: &HttpRequest) -> Result<String, Refused> {
    let Some(value) = req.headers().get("Idempotency-Key") else {
        return Err(Refused::new(
            Code::IdempotencyKeyRequired,
            "Send an Idempotency-Key header with any text of your own, the same for every attempt at this one deed.",
        ));
    };
    match value.to_str() {
        Ok(key) if !key.trim().is_empty() && key.len() <= KEY_LIMIT => Ok(key.to_owned()),
        _ => Err(Refused::new(
            Code::HeaderInvalid,
            format!("Idempotency-Key must hold 1 to {KEY_LIMIT} printable ASCII characters."),
        )),
    }
}

async fn json_bytes(req: &HttpRequest, payload: Payload) -> Result<BytesMut, Refused> {
    let media_type = req.headers().get(CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let essence = media_type.split(';').next().unwrap_or_default().trim().to_ascii_lowercase();
    if !matches!(essence.as_str(), "application/json" | "application/merge-patch+json") {
        return Err(Refused::new(
            Code::UnsupportedMediaType,
            format!("The body is `{media_type}`: send it as application/json."),
        ));
    }
    collect(req, payload, JSON_LIMIT, Code::BodyTooLarge).await
}

/// The bytes of an uploaded photograph, counted while they come.
pub(crate) async fn photo_bytes(req: &HttpRequest, payload: web::Payload) -> Result<Vec<u8>, Refused> {
    Ok(collect(req, payload, PHOTO_LIMIT, Code::PhotoTooLarge).await?.into())
}

/// The bytes of a file that is read at once.
///
/// # Errors
/// `body_too_large` beyond the limit, `body_invalid` where it breaks off.
pub(crate) async fn file_bytes(req: &HttpRequest, payload: web::Payload) -> Result<Vec<u8>, Refused> {
    Ok(collect(req, payload, FILE_LIMIT, Code::BodyTooLarge).await?.into())
}

async fn collect(
    req: &HttpRequest,
    mut payload: impl Stream<Item = Result<Bytes, PayloadError>> + Unpin,
    limit: usize,
    code: Code,
) -> Result<BytesMut, Refused> {
    let too_large = || Refused::new(code, format!("At most {limit} bytes are taken here: send less."));
    let announced = req.headers().get(CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<usize>().ok());
    if announced.is_some_and(|length| length > limit) {
        return Err(too_large());
    }
    let mut bytes = BytesMut::new();
    while let Some(chunk) = payload.next().await {
        let chunk =
            chunk.map_err(|e| Refused::new(Code::BodyInvalid, format!("The body broke off: {e}. Send it again.")))?;
        if bytes.len() + chunk.len() > limit {
            return Err(too_large());
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Refused> {
    // A list would be read as an object's values in order, which nobody means.
    if bytes.trim_ascii_start().first().is_some_and(|first| *first != b'{') {
        return Err(invalid(String::new(), &"expected a JSON object, beginning with {"));
    }
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut json).map_err(|e| {
        let pointer = pointer(e.path());
        invalid(pointer, &e.into_inner())
    })?;
    json.end().map_err(|e| invalid(String::new(), &e))?;
    Ok(value)
}

fn invalid(pointer: String, error: &dyn std::fmt::Display) -> Refused {
    let place = if pointer.is_empty() { "the body".to_owned() } else { pointer.clone() };
    Refusal::new(Code::BodyInvalid, format!("At {place}: {error}. Correct it and send it again."))
        .with(vec![Fault::new(pointer, error.to_string())])
        .into()
}

/// A JSON pointer (RFC 6901) to where reading stopped.
fn pointer(path: &serde_path_to_error::Path) -> String {
    path.iter()
        .map(|segment| match segment {
            Segment::Seq { index } => format!("/{index}"),
            Segment::Map { key } => format!("/{}", key.replace('~', "~0").replace('/', "~1")),
            Segment::Enum { variant } => format!("/{variant}"),
            // A place that serde does not know is told by what is around it.
            Segment::Unknown => String::new(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::parse;
    use crate::app::input::EntryInput;

    #[test]
    fn a_fault_deep_in_the_body_is_told_with_its_pointer() {
        let body = br#"{"checkpoint":"gas_locker","answer":{"kind":"condition","state":"broken"}}"#;
        let refused = parse::<EntryInput>(body).unwrap_err().0;
        assert!(refused.faults[0].pointer.starts_with("/answer"), "{refused}");
        assert!(refused.faults[0].detail.contains("unknown variant `broken`"), "{refused}");
    }

    #[test]
    fn what_follows_the_body_is_refused() {
        let refused = parse::<crate::app::input::Cancel>(br#"{"reason":"a"} x"#).unwrap_err().0;
        assert!(refused.faults[0].detail.contains("trailing"), "{refused}");
    }
}
