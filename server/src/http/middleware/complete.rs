use crate::app::Code;
use crate::http::problem::Refused;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage};
use tracing_actix_web::RequestId;

/// Where uploads are, and the version of their protocol.
const UPLOADS: &str = "/api/v1/uploads";
pub(in crate::http) const TUS: &str = "1.0.0";

/// Gives every answer the id of its request, and every problem the path it happened on. What went wrong inside is
/// logged here, and told to nobody else.
pub(in crate::http) async fn complete<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let path = req.path().to_owned();
    let id = req.extensions().get::<RequestId>().map(ToString::to_string);
    let res = next.call(req).await?;
    let problem = res.response().error().and_then(|e| e.as_error::<Refused>()).map(|refused| {
        if matches!(refused.0.code, Code::Internal | Code::NotReady) {
            tracing::error!(cause = refused.0.cause.as_deref().unwrap_or_default(), path, "request failed");
        }
        refused.respond(&path)
    });
    let mut res = match problem {
        Some(problem) => res.into_response(problem).map_into_right_body::<B>(),
        None => res.map_into_left_body(),
    };
    // Also beside a refusal, a client must be told what is spoken here.
    if path.starts_with(UPLOADS) {
        for name in ["tus-resumable", "tus-version"] {
            res.headers_mut().insert(HeaderName::from_static(name), HeaderValue::from_static(TUS));
        }
    }
    if let Some(id) = id.and_then(|id| HeaderValue::from_str(&id).ok()) {
        res.headers_mut().insert(HeaderName::from_static("x-request-id"), id);
    }
    Ok(res)
}
