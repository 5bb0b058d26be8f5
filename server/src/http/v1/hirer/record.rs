use crate::app::{App, papers};
use crate::http::answer::Answer;
use crate::http::extract::{Follower, Language};
use crate::http::v1::papers::{PdfBytes, sent};
use actix_web::HttpRequest;
use actix_web::web::{Data, Path};
use handsel_domain::ids::InspectionId;
use handsel_domain::text::Lang;

/// A signed record of the hire, typeset.
#[utoipa::path(
    get,
    path = "/hirer/records/{id}",
    operation_id = "readOwnRecordPdf",
    tag = "hirer",
    params(("id" = InspectionId, Path), ("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses(
        (status = 200, description = "The PDF (PDF/A-2a and PDF/UA-1).", content((PdfBytes = "application/pdf"))),
        (status = 304, description = "The caller has it, by If-None-Match."),
    )
)]
pub(crate) async fn record(
    req: HttpRequest,
    app: Data<App>,
    follower: Follower,
    lang: Language,
    id: Path<InspectionId>,
) -> Answer {
    let drafted = papers::own_record(&app, &follower, id.into_inner(), lang.0).await?;
    sent(&req, &app, drafted, lang.0).await
}
