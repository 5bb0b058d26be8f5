use super::{PdfBytes, sent};
use crate::app::App;
use crate::app::papers;
use crate::http::answer::Answer;
use crate::http::extract::{Caller, Language};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::HireId;
use handsel_domain::text::Lang;

/// The hirer's statement, typeset: provisional until the settlement is closed.
#[utoipa::path(
    get,
    path = "/hires/{id}/statement.pdf",
    operation_id = "readStatementPdf",
    tag = "deposit",
    params(("id" = HireId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses(
        (status = 200, description = "The PDF (PDF/A-2a and PDF/UA-1). Its ETag changes with what it says.", content((PdfBytes = "application/pdf"))),
        (status = 304, description = "The caller has it, by If-None-Match."),
    )
)]
pub(crate) async fn statement(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    lang: Language,
    id: Path<HireId>,
) -> Answer {
    let drafted = papers::of_hire(&app, &caller, id.into_inner(), lang.0).await?;
    sent(&req, &app, drafted, lang.0).await
}
