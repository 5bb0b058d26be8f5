use crate::app::App;
use crate::app::entries;
use crate::app::input::EntryInput;
use crate::http::answer::{Answer, made};
use crate::http::extract::{Caller, Json};
use actix_web::web::{Data, Path};
use handsel_domain::ids::{EntryId, InspectionId};
use handsel_domain::inspection::Entry;

/// Records an answer. A second answer to one checkpoint is kept; the last counts.
#[utoipa::path(
    put,
    path = "/inspections/{id}/entries/{entry_id}",
    operation_id = "putEntry",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("entry_id" = EntryId, Path)),
    request_body = EntryInput,
    responses((status = 201, body = Entry), (status = 200, body = Entry, description = "It was already recorded, with the same content."))
)]
pub(crate) async fn put_entry(
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, EntryId)>,
    body: Json<EntryInput>,
) -> Answer {
    let (inspection, entry) = path.into_inner();
    Ok(made(&entries::put(&app, &caller, inspection, entry, body.into_inner()).await?))
}
