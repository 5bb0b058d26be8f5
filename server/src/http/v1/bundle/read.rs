use crate::app::{App, bundle};
use crate::http::answer::Answer;
use crate::http::extract::Caller;
use actix_web::HttpResponse;
use actix_web::body::SizedStream;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION};
use actix_web::web::{Bytes, Data, Path};
use futures_util::stream::{Stream, unfold};
use handsel_domain::ids::HireId;
use tokio::fs::File;
use tokio::io::AsyncReadExt;
use utoipa::ToSchema;

/// How much is sent at a time.
const PIECE: usize = 64 * 1024;

/// The bytes of a ZIP.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct ZipBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

/// The evidence bundle: everything a dispute can turn on, in one ZIP that can be checked without this server.
#[utoipa::path(
    get,
    path = "/hires/{id}/bundle.zip",
    operation_id = "readBundle",
    tag = "deposit",
    params(("id" = HireId, Path)),
    responses((status = 200, content((ZipBytes = "application/zip"))))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<HireId>) -> Answer {
    let made = bundle::make(&app, &caller, id.into_inner()).await?;
    let plain: String =
        made.reference.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' }).collect();
    Ok(HttpResponse::Ok()
        .content_type("application/zip")
        .insert_header((CONTENT_DISPOSITION, format!("attachment; filename=\"evidence-{plain}.zip\"")))
        .insert_header((CACHE_CONTROL, "no-store"))
        .body(SizedStream::new(made.bytes, pieces(File::from_std(made.file)))))
}

/// A file, piece by piece; the first that cannot be read ends it.
fn pieces(file: File) -> impl Stream<Item = Result<Bytes, std::io::Error>> {
    unfold(Some(file), |file| async move {
        let mut file = file?;
        let mut piece = vec![0; PIECE];
        match file.read(&mut piece).await {
            Ok(0) => None,
            Ok(length) => {
                piece.truncate(length);
                Some((Ok(Bytes::from(piece)), Some(file)))
            }
            Err(error) => Some((Err(error), None)),
        }
    })
}
