use crate::app::bank_files::{self, Sent};
use crate::app::record::BankImport;
use crate::app::{App, Code, Refusal};
use crate::http::answer::{Answer, json};
use crate::http::extract::{Caller, columns};
use crate::http::problem::Refused;
use actix_web::http::StatusCode;
use actix_web::web::{Data, Path, Payload, Query};
use futures_util::StreamExt;
use handsel_domain::ids::ImportId;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::io::Write;
use utoipa::{IntoParams, ToSchema};

/// Most bytes a bank's file may have.
const LARGEST: u64 = 512 * 1024 * 1024;

/// What the file is called, and what its columns are.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct FileQuery {
    /// As the file is called.
    name: String,
    /// Of a CSV: which column is what, `Columns` as JSON. Left out: the file is a camt.053.
    columns: Option<String>,
}

/// The bytes of a bank's file.
#[derive(Debug, ToSchema)]
#[schema(value_type = String, format = Binary)]
pub(crate) struct FileBytes(#[expect(dead_code, reason = "describes a body; never built")] Vec<u8>);

/// Reads a bank's file in: ISO 20022 camt.053, versions 02 to 08, or CSV. A file that is not whole changes nothing, and
/// one that was read in before adds nothing.
#[utoipa::path(
    put,
    path = "/bank/imports/{id}",
    operation_id = "readBankFile",
    tag = "bank",
    params(("id" = ImportId, Path), FileQuery),
    request_body(content((FileBytes = "application/octet-stream")), description = "At most 512 MiB."),
    responses((status = 202, body = BankImport, description = "It is whole and right; its entries are being kept."))
)]
pub(crate) async fn send(
    app: Data<App>,
    caller: Caller,
    id: Path<ImportId>,
    query: Query<FileQuery>,
    mut payload: Payload,
) -> Answer {
    let query = query.into_inner();
    let columns = query.columns.as_deref().map(columns).transpose()?;
    let mut file = tempfile::tempfile().map_err(|e| Refused::from(Refusal::internal(e)))?;
    let mut digest = Sha256::new();
    let mut bytes = 0_u64;
    while let Some(piece) = payload.next().await {
        let piece =
            piece.map_err(|e| Refused::new(Code::BodyInvalid, format!("The file broke off on its way: {e}.")))?;
        bytes = bytes.saturating_add(u64::try_from(piece.len()).unwrap_or(u64::MAX));
        if bytes > LARGEST {
            return Err(Refused::new(
                Code::BodyTooLarge,
                "A bank's file may have 512 MiB at most: ask for shorter periods.",
            ));
        }
        digest.update(&piece);
        // Pieces are small, and go to the disk's cache.
        file.write_all(&piece).map_err(|e| Refused::from(Refusal::internal(e)))?;
    }
    let sha256 = hex::encode(digest.finalize());
    let sent = Sent { id: id.into_inner(), name: query.name, sha256, columns, file };
    Ok(json(StatusCode::ACCEPTED, &bank_files::take(&app, &caller, sent).await?))
}
