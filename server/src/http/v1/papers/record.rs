use super::{PdfBytes, sent};
use crate::app::App;
use crate::app::papers;
use crate::http::answer::Answer;
use crate::http::extract::{Caller, Language};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// The record of a walk-round, typeset: the handover record at departure, the return record at return. A draft until it
/// is sealed.
#[utoipa::path(
    get,
    path = "/inspections/{id}/record.pdf",
    operation_id = "readRecordPdf",
    tag = "inspections",
    params(("id" = InspectionId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses(
        (status = 200, description = "The PDF (PDF/A-2a and PDF/UA-1). Once sealed, with all photographs here, it never changes.", content((PdfBytes = "application/pdf"))),
        (status = 304, description = "The caller has it, by If-None-Match."),
    )
)]
pub(crate) async fn record(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<InspectionId>,
) -> Answer {
    let drafted = papers::of_inspection(&app, &caller, id.into_inner(), lang.0).await?;
    sent(&req, &app, drafted, lang.0).await
}
