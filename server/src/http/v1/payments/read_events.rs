use crate::app::App;
use crate::app::payments::{self, NotRecorded, Taken};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, columns, file_bytes};
use crate::http::problem::Problem;
use actix_web::HttpRequest;
use actix_web::web::{Data, Payload, Query};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// What the file's columns are.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct EventsQuery {
    /// Which column is what, and what the provider's words mean: `PaymentColumns` as JSON.
    columns: String,
}

/// The bytes of a payment provider's file.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct EventBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

/// What became of a payment provider's file.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PaymentEvents {
    lines: u64,
    recorded: u64,
    /// Recorded before.
    known: u64,
    /// Passed over, as the columns say.
    passed: u64,
    refused: Vec<RefusedEvent>,
}

/// A line that was not recorded, and why. Put right, the whole file can be sent again.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RefusedEvent {
    line: u64,
    /// The provider's mark of it.
    event: String,
    /// The hire's reference, as the file names it.
    hire: String,
    problem: Problem,
}

impl From<NotRecorded> for RefusedEvent {
    fn from(not: NotRecorded) -> Self {
        Self { line: not.line, event: not.event, hire: not.hire, problem: Problem::of(&not.why, "") }
    }
}

impl From<Taken> for PaymentEvents {
    fn from(taken: Taken) -> Self {
        let Taken { lines, recorded, known, passed, refused } = taken;
        Self { lines, recorded, known, passed, refused: refused.into_iter().map(RefusedEvent::from).collect() }
    }
}

/// Reads in what a payment provider tells of holds, captures and the rest, as CSV. A file that cannot be read changes
/// nothing; each line is a movement of its own; one that was read in before adds nothing.
#[utoipa::path(
    post,
    path = "/payments/events",
    operation_id = "readPaymentEvents",
    tag = "deposit",
    params(EventsQuery),
    request_body(content((EventBytes = "text/csv")), description = "At most 2 MiB and 2000 lines."),
    responses((status = 200, body = PaymentEvents))
)]
pub(crate) async fn read_events(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    query: Query<EventsQuery>,
    payload: Payload,
) -> Answer {
    let columns = columns(&query.columns)?;
    let bytes = file_bytes(&req, payload).await?;
    Ok(ok(&PaymentEvents::from(payments::take(&app, &caller, columns, bytes).await?)))
}
