//! How a refusal is told over HTTP (RFC 9457): the one table of codes, statuses and titles.

use crate::app::{Code, Fault, Refusal};
use actix_web::http::StatusCode;
use actix_web::http::header::ContentType;
use actix_web::{HttpResponse, HttpResponseBuilder, ResponseError};
use serde::Serialize;
use serde_json::{Map, Value};
use std::fmt;
use utoipa::ToSchema;

/// (status, code as written, title). A code never changes its meaning.
#[must_use]
pub const fn row(code: Code) -> (u16, &'static str, &'static str) {
    match code {
        Code::BodyInvalid => (400, "body_invalid", "The body cannot be read"),
        Code::BodyTooLarge => (413, "body_too_large", "The body is too large"),
        Code::UnsupportedMediaType => (415, "unsupported_media_type", "This kind of content is not taken here"),
        Code::QueryInvalid => (400, "query_invalid", "The query cannot be read"),
        Code::PathInvalid => (400, "path_invalid", "The path cannot be read"),
        Code::HeaderInvalid => (400, "header_invalid", "A header cannot be read"),
        Code::NotAcceptable => (406, "not_acceptable", "It cannot be had in a form you accept"),
        Code::NotFound => (404, "not_found", "Not found"),
        Code::MethodNotAllowed => (405, "method_not_allowed", "This cannot be done to that"),
        Code::IfMatchRequired => (428, "if_match_required", "Say which version is being changed"),
        Code::ChangedMeanwhile => (412, "changed_meanwhile", "Somebody changed it meanwhile"),
        Code::IdempotencyKeyRequired => (400, "idempotency_key_required", "An Idempotency-Key is needed"),
        Code::IdempotencyKeyReused => (422, "idempotency_key_reused", "The Idempotency-Key belongs to another request"),
        Code::Unauthenticated => (401, "unauthenticated", "Sign in first"),
        Code::TokenExpired => (401, "token_expired", "The session has run out"),
        Code::Forbidden => (403, "forbidden", "Your role does not do this"),
        Code::LoginFailed => (401, "login_failed", "The address or the password is wrong"),
        Code::LoginThrottled => (429, "login_throttled", "Too many failed attempts"),
        Code::RefreshInvalid => (401, "refresh_invalid", "The session cannot be renewed"),
        Code::RefreshReused => (401, "refresh_reused", "The session was ended for safety"),
        Code::IdTaken => (409, "id_taken", "The id belongs to something else"),
        Code::EmailTaken => (409, "email_taken", "The address belongs to somebody else"),
        Code::ReferenceTaken => (409, "reference_taken", "The reference belongs to another hire"),
        Code::RegistrationTaken => (409, "registration_taken", "The registration belongs to another vehicle"),
        Code::ValuesInvalid => (422, "values_invalid", "Some values cannot be right"),
        Code::TemplateInvalid => (422, "template_invalid", "The template does not hold together"),
        Code::TemplateFrozen => (409, "template_frozen", "An inspection uses this template version"),
        Code::VersionOutOfTurn => (409, "version_out_of_turn", "Versions count up one by one"),
        Code::TariffInvalid => (422, "tariff_invalid", "The tariff does not hold together"),
        Code::HireState => (409, "hire_state", "The hire is not at that point"),
        Code::VehicleOut => (409, "vehicle_out", "The vehicle is out on another hire"),
        Code::InspectionStarted => (409, "inspection_started", "The walk-round has begun"),
        Code::InspectionClosed => (409, "inspection_closed", "The inspection is signed"),
        Code::AnswersConflict => (422, "answers_conflict", "Answers stand side by side"),
        Code::SealDiffers => (409, "seal_differs", "The record is not the one that was signed"),
        Code::InspectionUnsealed => (409, "inspection_unsealed", "The inspection is not sealed"),
        Code::OperationReused => (409, "operation_reused", "The operation's id or number belongs to another"),
        Code::OperationOutOfOrder => (409, "operation_out_of_order", "Other operations come before this one"),
        Code::AnswerInvalid => (422, "answer_invalid", "The answer cannot be right"),
        Code::InspectionIncomplete => (422, "inspection_incomplete", "Something is still to do"),
        Code::BriefingUnacknowledged => (422, "briefing_unacknowledged", "A critical topic is not acknowledged"),
        Code::PhotoEmpty => (422, "photo_empty", "The photograph is empty"),
        Code::PhotoUnsupported => (415, "photo_unsupported", "This is no photograph that is taken here"),
        Code::PhotoHeic => (415, "photo_heic", "HEIC is not taken here"),
        Code::PhotoAvif => (415, "photo_avif", "AVIF is not taken here"),
        Code::PhotoTypeContradicted => (415, "photo_type_contradicted", "The photograph is not what it was sent as"),
        Code::PhotoTooLarge => (413, "photo_too_large", "The photograph is too large"),
        Code::PhotoTooManyPixels => (413, "photo_too_many_pixels", "The photograph has too many pixels"),
        Code::PhotoTooLong => (413, "photo_too_long", "The photograph is too long on one side"),
        Code::PhotoWithoutSize => (422, "photo_without_size", "The photograph has no size"),
        Code::PhotoTooMuchMemory => (413, "photo_too_much_memory", "Reading the photograph takes too much memory"),
        Code::PhotoTruncated => (422, "photo_truncated", "The photograph is cut off"),
        Code::PhotoUnreadable => (422, "photo_unreadable", "The photograph cannot be read"),
        Code::PhotoPolyglot => (422, "photo_polyglot", "The file is more than a photograph"),
        Code::PhotoAnimated => (422, "photo_animated", "The file holds more than one picture"),
        Code::PhotoInflates => (422, "photo_inflates", "The photograph unpacks to too much"),
        Code::PhotoTooManyScans => (422, "photo_too_many_scans", "The photograph comes in too many passes"),
        Code::PhotoTooMuchMetadata => (413, "photo_too_much_metadata", "Too much stands beside the picture"),
        Code::PhotoColours => (415, "photo_colours", "The photograph's colours are not a screen's"),
        Code::PhotoCoding => (415, "photo_coding", "The photograph is coded in a way that is not read here"),
        Code::PhotoInUse => (409, "photo_in_use", "Something refers to the photograph"),
        Code::PhotoAwaited => (409, "photo_awaited", "The photograph has not arrived yet"),
        Code::UploadDiffers => (422, "upload_differs", "These are not the announced bytes"),
        Code::UploadOffset => (409, "upload_offset", "The upload is not that far"),
        Code::UploadBusy => (423, "upload_busy", "Somebody is at this upload"),
        Code::UploadChecksum => (460, "upload_checksum", "The piece was damaged on its way"),
        Code::TusVersion => (412, "tus_version", "This version of the protocol is not spoken here"),
        Code::CaseInvalid => (422, "case_invalid", "What was recorded cannot be compared"),
        Code::DecisionRefused => (422, "decision_refused", "The decision does not fit the line"),
        Code::MovementRefused => (422, "movement_refused", "The movement does not fit the ledger"),
        Code::LinkInvalid => (401, "link_invalid", "This link is not valid"),
        Code::LinkExpired => (401, "link_expired", "This link has run out"),
        Code::DisputeRefused => (409, "dispute_refused", "The dispute was not recorded"),
        Code::BankFileRefused => (422, "bank_file_refused", "The bank's file was not read in"),
        Code::MatchRefused => (409, "match_refused", "The entry was not matched"),
        Code::LinesUndecided => (409, "lines_undecided", "Lines are still to be decided"),
        Code::DepositUnsettled => (409, "deposit_unsettled", "The deposit is not settled"),
        Code::DocumentTooLarge => (422, "document_too_large", "The document is too large to be typeset"),
        Code::NotReady => (503, "not_ready", "The server is not ready"),
        Code::Internal => (500, "internal", "Something went wrong here"),
    }
}

/// A problem as told (RFC 9457). Further members depend on the code.
#[derive(Debug, Serialize, ToSchema)]
pub struct Problem {
    /// `/problems/<code>`.
    #[serde(rename = "type")]
    pub type_: String,
    pub title: String,
    pub status: u16,
    /// What happened, and what to do about it.
    pub detail: String,
    /// Stable; programs decide by this.
    pub code: String,
    /// Path of the request.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schema(required = false)]
    pub instance: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub errors: Vec<Fault>,
    #[serde(flatten)]
    #[schema(ignore)]
    pub more: Map<String, Value>,
}

impl Problem {
    #[must_use]
    pub fn of(refusal: &Refusal, instance: &str) -> Self {
        let (status, code, title) = row(refusal.code);
        Self {
            type_: format!("/problems/{code}"),
            title: title.to_owned(),
            status,
            detail: refusal.detail.clone(),
            code: code.to_owned(),
            instance: instance.to_owned(),
            errors: refusal.faults.clone(),
            more: refusal.more.clone(),
        }
    }
}

/// A refusal on its way out of a handler.
#[derive(Debug)]
pub struct Refused(pub Refusal);

impl From<Refusal> for Refused {
    fn from(refusal: Refusal) -> Self {
        Self(refusal)
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Refused {
    #[must_use]
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self(Refusal::new(code, detail))
    }

    /// Something the server stands on cannot be reached; it may be back soon.
    #[must_use]
    pub fn not_ready(cause: String) -> Self {
        Self(Refusal {
            cause: Some(cause),
            ..Refusal::new(Code::NotReady, "The database or the stored photographs cannot be reached. Try again soon.")
        })
    }

    /// The answer, naming the request's path.
    #[must_use]
    pub fn respond(&self, instance: &str) -> HttpResponse {
        let problem = Problem::of(&self.0, instance);
        let (status, code) = (problem.status, &problem.code);
        let mut response = HttpResponseBuilder::new(self.status_code());
        if status == 401 {
            response.insert_header(("WWW-Authenticate", "Bearer"));
        }
        if let Some(Value::Number(seconds)) = self.0.more.get("retry_after_seconds") {
            response.insert_header(("Retry-After", seconds.to_string()));
        }
        match serde_json::to_vec(&problem) {
            Ok(body) => response.insert_header(("Content-Type", "application/problem+json")).body(body),
            Err(error) => response.content_type(ContentType::plaintext()).body(format!("{code}: {error}")),
        }
    }
}

impl ResponseError for Refused {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(row(self.0.code).0).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        self.respond("")
    }
}
