use crate::app::App;
use crate::app::input::Operations;
use crate::app::operations::{self, Outcome};
use crate::app::view::{Fate, Receipt};
use crate::http::answer::{Answer, ok};
use crate::http::extract::{Caller, Json, Language};
use crate::http::problem::Problem;
use actix_web::web::Data;
use handsel_domain::ids::OperationId;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use serde::Serialize;
use utoipa::ToSchema;

/// What became of a request's operations, in its order.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OperationsTaken {
    outcomes: Vec<OperationOutcome>,
    received_at: Instant,
}

/// What became of one operation.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OperationOutcome {
    id: OperationId,
    outcome: Fate,
    /// Why it was refused or held back. `expected`, where it is told, is the number to go on with.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
    /// Of an operation that is handled.
    #[serde(skip_serializing_if = "Option::is_none")]
    receipt: Option<Receipt>,
}

impl From<Outcome> for OperationOutcome {
    fn from(outcome: Outcome) -> Self {
        Self {
            id: outcome.id,
            outcome: outcome.fate,
            problem: outcome.problem.map(|refusal| Problem::of(&refusal, "")),
            receipt: outcome.receipt,
        }
    }
}

/// Takes what a device recorded, in its order and each once, however often it is sent.
///
/// Operations are answered one by one. A refused one is handled: later ones go on, and it is refused with the same
/// problem whenever it is sent again. From the first that is held back on, all are: send again from the expected number.
#[utoipa::path(
    post,
    path = "/operations",
    operation_id = "takeOperations",
    tag = "operations",
    params(("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    request_body = Operations,
    responses((status = 200, body = OperationsTaken))
)]
pub(crate) async fn take(app: Data<App>, caller: Caller, lang: Language, body: Json<Operations>) -> Answer {
    let taken = operations::take(&app, &caller, body.into_inner(), lang.0).await?;
    let outcomes = taken.outcomes.into_iter().map(OperationOutcome::from).collect();
    Ok(ok(&OperationsTaken { outcomes, received_at: taken.received_at }))
}
