//! Writing a bundle, file by file, so that photographs need not be in memory together.

use super::{SUMS, SUMS_SIGNATURE};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt;
use std::io::{Seek, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Why a bundle could not be written.
#[derive(Debug)]
pub enum BundleError {
    Zip(zip::result::ZipError),
    Io(std::io::Error),
    Json(serde_json::Error),
    /// Two files of one name.
    Twice(String),
}

impl fmt::Display for BundleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Zip(e) => write!(f, "the bundle cannot be written: {e}"),
            Self::Io(e) => write!(f, "the bundle cannot be written: {e}"),
            Self::Json(e) => write!(f, "a file of the bundle cannot be written as JSON: {e}"),
            Self::Twice(name) => write!(f, "two files of the bundle are called {name}"),
        }
    }
}

impl std::error::Error for BundleError {}

impl From<zip::result::ZipError> for BundleError {
    fn from(error: zip::result::ZipError) -> Self {
        Self::Zip(error)
    }
}

impl From<std::io::Error> for BundleError {
    fn from(error: std::io::Error) -> Self {
        Self::Io(error)
    }
}

impl From<serde_json::Error> for BundleError {
    fn from(error: serde_json::Error) -> Self {
        Self::Json(error)
    }
}

/// A bundle being written. The same files in the same order make the same bytes.
pub struct Writer<W: Write + Seek> {
    zip: ZipWriter<W>,
    sums: BTreeMap<String, String>,
}

impl<W: Write + Seek> fmt::Debug for Writer<W> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Writer").field("files", &self.sums.len()).finish_non_exhaustive()
    }
}

impl<W: Write + Seek> Writer<W> {
    pub fn new(to: W) -> Self {
        Self { zip: ZipWriter::new(to), sums: BTreeMap::new() }
    }

    /// Adds a file that is listed with its hash.
    ///
    /// # Errors
    /// It cannot be written, or is there already.
    pub fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), BundleError> {
        if self.sums.contains_key(name) {
            return Err(BundleError::Twice(name.to_owned()));
        }
        self.put(name, bytes)?;
        self.sums.insert(name.to_owned(), hex::encode(Sha256::digest(bytes)));
        Ok(())
    }

    fn put(&mut self, name: &str, bytes: &[u8]) -> Result<(), BundleError> {
        // Photographs are packed already. No time of day: the same files are the same bundle.
        let text = [".json", ".txt", ".pem", SUMS].iter().any(|end| name.ends_with(end));
        let method = if text { CompressionMethod::Deflated } else { CompressionMethod::Stored };
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(zip::DateTime::default())
            .unix_permissions(0o644);
        self.zip.start_file(name, options)?;
        self.zip.write_all(bytes)?;
        Ok(())
    }

    /// Lists what is in it, has the list signed, and ends the file.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn finish(mut self, sign: impl FnOnce(&[u8]) -> [u8; 64]) -> Result<W, BundleError> {
        let list: String = self.sums.iter().map(|(name, sum)| format!("{sum}  {name}\n")).collect();
        let signature = sign(list.as_bytes());
        self.put(SUMS, list.as_bytes())?;
        self.put(SUMS_SIGNATURE, &signature)?;
        Ok(self.zip.finish()?)
    }
}
