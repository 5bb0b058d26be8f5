//! Sets a document as PDF. All that the typesetting can reach is what is given to it here.

mod text;

use crate::draft::{Draft, PaperError};
use chrono::{Datelike, Timelike};
use handsel_domain::time::Instant;
use serde_json::Value as Json;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Dict, Duration, Smart, Value};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook, FontStyle};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// The look of every document.
pub(crate) const LOOK: &str = include_str!("paper.typ");

/// What the exporter holds the document to: kept for good, and readable by everybody.
const STANDARDS: [PdfStandard; 2] = [PdfStandard::A_2a, PdfStandard::Ua_1];

/// The families in use, in the order they are asked for a character.
const FAMILIES: [&str; 2] = ["Libertinus Serif", "DejaVu Sans Mono"];

struct Fonts {
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let all = typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data)));
    let fonts: Vec<Font> = all.filter(|f| FAMILIES.contains(&f.info().family.as_str())).collect();
    Fonts { book: LazyHash::new(FontBook::from_fonts(&fonts)), fonts }
});

/// The first family, or the named one, whose upright fonts all have a character: each weight that is used then has it.
fn family_of(c: char, wanted: Option<usize>) -> Option<usize> {
    let has = |family: &str| {
        let upright = |f: &&Font| f.info().family == family && f.info().variant.style == FontStyle::Normal;
        FONTS.fonts.iter().filter(upright).all(|font| font.info().coverage.contains(u32::from(c)))
    };
    let families = FAMILIES.iter().enumerate().filter(|(at, _)| wanted.is_none_or(|wanted| wanted == *at));
    families.into_iter().find(|(_, family)| has(family)).map(|(at, _)| at)
}

/// One document's world: its look, its words and pictures, the fonts. No file, no package, no clock.
struct Desk {
    library: LazyHash<Library>,
    source: Source,
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.book
    }

    fn main(&self) -> FileId {
        self.source.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.source.id() { Ok(self.source.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Sets a draft with its photographs.
pub(crate) fn set(draft: &Draft, photos: BTreeMap<String, Vec<u8>>) -> Result<Vec<u8>, PaperError> {
    let paper = serde_json::to_value(&draft.paper).map_err(PaperError::inside)?;
    let identity = identity(&paper, &photos, &draft.drawings);
    let photos: Dict = photos.into_iter().map(|(name, bytes)| (name.into(), Value::Bytes(Bytes::new(bytes)))).collect();
    let drawings = draft.drawings.iter().map(|svg| Value::Bytes(Bytes::from_string(svg.clone()))).collect();
    let inputs: Dict = [
        ("paper".into(), text::value(&paper)),
        ("photos".into(), Value::Dict(photos)),
        ("drawings".into(), Value::Array(drawings)),
    ]
    .into_iter()
    .collect();
    let desk =
        Desk { library: LazyHash::new(Library::builder().with_inputs(inputs).build()), source: Source::detached(LOOK) };
    let outcome = print(&desk, draft.at, identity);
    // What was reckoned for this document helps no other one, and it holds what people wrote.
    typst::comemo::evict(0);
    outcome
}

fn print(desk: &Desk, at: Instant, identity: String) -> Result<Vec<u8>, PaperError> {
    let document = typst::compile::<PagedDocument>(desk).output.map_err(|e| told(&e))?;
    let standards = PdfStandards::new(&STANDARDS).map_err(|e| PaperError::inside(e.message()))?;
    let options = PdfOptions {
        ident: Smart::Custom(identity),
        creator: Smart::Custom(Some("Handsel".to_owned())),
        timestamp: moment(at).map(Timestamp::new_utc),
        standards,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|e| told(&e))
}

fn moment(at: Instant) -> Option<Datetime> {
    let at = at.utc();
    let small = |n: u32| u8::try_from(n).ok();
    Datetime::from_ymd_hms(
        at.year(),
        small(at.month())?,
        small(at.day())?,
        small(at.hour())?,
        small(at.minute())?,
        small(at.second())?,
    )
}

/// The document's identity: all that it is made of.
fn identity(paper: &Json, photos: &BTreeMap<String, Vec<u8>>, drawings: &[String]) -> String {
    let mut hash = Sha256::new();
    hash.update(LOOK);
    hash.update(paper.to_string());
    for (name, bytes) in photos {
        hash.update(name);
        hash.update(Sha256::digest(bytes));
    }
    for drawing in drawings {
        hash.update(Sha256::digest(drawing));
    }
    hex::encode(hash.finalize())
}

fn told(diagnostics: &[SourceDiagnostic]) -> PaperError {
    let words: Vec<&str> = diagnostics.iter().map(|d| d.message.as_str()).collect();
    PaperError::Typesetting(words.join("; "))
}

#[cfg(test)]
mod tests;
