use crate::app::{App, papers};
use crate::http::answer::Answer;
use crate::http::extract::{Follower, Language};
use crate::http::v1::papers::{PdfBytes, sent};
use actix_web::HttpRequest;
use actix_web::web::Data;
use handsel_domain::text::Lang;

/// The statement of the hire, typeset: provisional until the settlement is closed.
#[utoipa::path(
    get,
    path = "/hirer/statement",
    operation_id = "readOwnStatementPdf",
    tag = "hirer",
    params(("lang" = Option<Lang>, Query, description = "Language of the words; else by Accept-Language.")),
    responses(
        (status = 200, description = "The PDF (PDF/A-2a and PDF/UA-1).", content((PdfBytes = "application/pdf"))),
        (status = 304, description = "The caller has it, by If-None-Match."),
    )
)]
pub(crate) async fn statement(req: HttpRequest, app: Data<App>, follower: Follower, lang: Language) -> Answer {
    let drafted = papers::own_statement(&app, &follower, lang.0).await?;
    sent(&req, &app, drafted, lang.0).await
}
