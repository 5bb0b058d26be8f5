use crate::app::App;
use crate::app::entries;
use crate::http::answer::{Answer, no_content};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::{EntryId, InspectionId};

/// Takes back an answer of an open inspection.
#[utoipa::path(
    delete,
    path = "/inspections/{id}/entries/{entry_id}",
    operation_id = "removeEntry",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("entry_id" = EntryId, Path)),
    responses((status = 204))
)]
pub(crate) async fn remove_entry(app: Data<App>, caller: Caller, path: Path<(InspectionId, EntryId)>) -> Answer {
    let (inspection, entry) = path.into_inner();
    entries::remove(&app, &caller, inspection, entry).await?;
    Ok(no_content())
}
