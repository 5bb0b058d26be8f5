//! The app for the browser: its files, and its first page for every path that is not one.

use super::problem::Refused;
use crate::app::{Code, Refusal};
use actix_web::http::Method;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};
use std::io;
use std::path::{Path, PathBuf};

/// The app as it was built with this program.
#[derive(rust_embed::Embed)]
#[folder = "../web/dist"]
#[allow_missing = true]
struct Built;

/// Where the app's files come from: a folder of the operator's, or else the program itself.
#[derive(Debug)]
pub(super) struct WebFiles {
    root: Option<PathBuf>,
}

impl WebFiles {
    pub(super) const fn new(root: Option<PathBuf>) -> Self {
        Self { root }
    }

    /// The bytes of a path; none for anything that is not there or would lead out of the folder.
    async fn read(&self, path: &str) -> Result<Option<Vec<u8>>, Refused> {
        let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty()).collect();
        if parts.iter().any(|part| part.starts_with('.') || part.contains(['\\', ':', '%', '\0'])) {
            return Ok(None);
        }
        match &self.root {
            Some(root) => read(&parts.iter().fold(root.clone(), |file, part| file.join(part))).await,
            None => Ok(Built::get(&parts.join("/")).map(|file| file.data.into_owned())),
        }
    }
}

pub(super) async fn serve(req: HttpRequest, files: Data<WebFiles>) -> Result<HttpResponse, Refused> {
    let path = req.path();
    let nothing = || Refused::new(Code::NotFound, "There is no such page.");
    if req.method() != Method::GET || path.starts_with("/api/") {
        return Err(nothing());
    }
    if let Some(bytes) = files.read(path).await? {
        return Ok(answer(path, bytes));
    }
    // A file that is asked for by name is missing; any other path is a screen of the app.
    let names_a_file = path.rsplit('/').next().is_some_and(|last| last.contains('.'));
    if names_a_file {
        return Err(nothing());
    }
    let bytes = files.read("index.html").await?.ok_or_else(nothing)?;
    Ok(answer("/index.html", bytes))
}

async fn read(file: &Path) -> Result<Option<Vec<u8>>, Refused> {
    match tokio::fs::read(file).await {
        Ok(bytes) => Ok(Some(bytes)),
        Err(e)
            if matches!(
                e.kind(),
                io::ErrorKind::NotFound | io::ErrorKind::IsADirectory | io::ErrorKind::NotADirectory
            ) =>
        {
            Ok(None)
        }
        Err(e) => Err(Refusal::internal(format!("{}: {e}", file.display())).into()),
    }
}

fn answer(path: &str, bytes: Vec<u8>) -> HttpResponse {
    // Files under assets/ carry a hash of their content in their name; the rest is asked for afresh each time.
    let cache = if path.starts_with("/assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
    let media_type = mime_guess::from_path(path).first_or_octet_stream();
    HttpResponse::Ok().content_type(media_type.as_ref()).insert_header(("Cache-Control", cache)).body(bytes)
}
