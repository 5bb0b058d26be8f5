//! A document that is written and not set yet: what it says, and the photographs it asks for.

use crate::typeset;
use handsel_domain::ids::PhotoId;
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt;

/// Most photographs of one document, of each size.
pub(crate) const MOST_LARGE: usize = 40;
pub(crate) const MOST_SMALL: usize = 80;
/// Most bytes all photographs of a document may have together.
const MOST_PHOTO_BYTES: usize = 48 * 1024 * 1024;
/// Most bytes of words in a document: some hundred pages.
const MOST_WORDS: usize = 2 * 1024 * 1024;

/// Why a document was not set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PaperError {
    /// A photograph that it shows was not given.
    PhotoMissing(String),
    /// A photograph that is no JPEG.
    NotJpeg(String),
    TooManyPhotoBytes {
        bytes: usize,
        most: usize,
    },
    TooManyWords {
        bytes: usize,
        most: usize,
    },
    /// The typesetting refused; a fault of this crate.
    Typesetting(String),
}

impl PaperError {
    pub(crate) fn inside(cause: impl fmt::Display) -> Self {
        Self::Typesetting(cause.to_string())
    }
}

impl fmt::Display for PaperError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PhotoMissing(name) => write!(f, "the photograph `{name}` was not given"),
            Self::NotJpeg(name) => write!(f, "the photograph `{name}` is no JPEG"),
            Self::TooManyPhotoBytes { bytes, most } => {
                write!(
                    f,
                    "its photographs have {bytes} bytes together, and a document takes {most}: give smaller copies"
                )
            }
            Self::TooManyWords { bytes, most } => {
                write!(f, "it says {bytes} bytes of words, and a document takes {most}")
            }
            Self::Typesetting(cause) => write!(f, "the typesetting refused: {cause}"),
        }
    }
}

impl std::error::Error for PaperError {}

/// A photograph that documents can show: what its content is called, and its size, upright.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// SHA-256 of the original.
    pub sha256: String,
    pub width: u32,
    pub height: u32,
}

/// Which copy of a photograph a document asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Copy {
    pub photo: PhotoId,
    /// The copy for a screen; else the one for a list.
    pub large: bool,
}

/// A document that is written and not set yet.
#[derive(Clone, Debug)]
pub struct Draft {
    pub(crate) paper: Paper,
    pub(crate) drawings: Vec<String>,
    pub(crate) at: Instant,
    pub(crate) pictures: BTreeMap<String, Copy>,
}

impl Draft {
    pub(crate) fn new(paper: Paper, at: Instant) -> Self {
        Self { paper, drawings: Vec::new(), at, pictures: BTreeMap::new() }
    }

    /// The photographs it shows, by the names they are given to [`Self::set`] under.
    #[must_use]
    pub const fn pictures(&self) -> &BTreeMap<String, Copy> {
        &self.pictures
    }

    /// Stands for all it says and shows. Photographs are named by their content.
    ///
    /// # Errors
    /// Words that cannot be written as JSON; none are such.
    pub fn tag(&self) -> Result<String, PaperError> {
        let words = serde_json::to_vec(&self.paper).map_err(PaperError::inside)?;
        let mut hash = Sha256::new();
        hash.update(typeset::LOOK);
        hash.update(env!("CARGO_PKG_VERSION"));
        hash.update(words);
        for drawing in &self.drawings {
            hash.update(drawing);
        }
        Ok(hex::encode(hash.finalize()))
    }

    /// The PDF: tagged, PDF/A-2a and PDF/UA-1. Takes seconds of a processor.
    ///
    /// # Errors
    /// A photograph that is missing or no JPEG, more bytes than a document takes, or a fault of this crate.
    pub fn set(&self, mut photos: BTreeMap<String, Vec<u8>>) -> Result<Vec<u8>, PaperError> {
        photos.retain(|name, _| self.pictures.contains_key(name));
        for name in self.pictures.keys() {
            let bytes = photos.get(name).ok_or_else(|| PaperError::PhotoMissing(name.clone()))?;
            if !bytes.starts_with(&[0xff, 0xd8, 0xff]) {
                return Err(PaperError::NotJpeg(name.clone()));
            }
        }
        let bytes = photos.values().map(Vec::len).sum();
        if bytes > MOST_PHOTO_BYTES {
            return Err(PaperError::TooManyPhotoBytes { bytes, most: MOST_PHOTO_BYTES });
        }
        let words = serde_json::to_vec(&self.paper).map_err(PaperError::inside)?.len();
        if words > MOST_WORDS {
            return Err(PaperError::TooManyWords { bytes: words, most: MOST_WORDS });
        }
        typeset::set(self, photos)
    }

    pub(crate) fn push(&mut self, part: Part) {
        self.paper.parts.push(part);
    }

    pub(crate) fn heading(&mut self, text: &str) {
        self.push(Part::Heading { level: 2, text: text.to_owned() });
    }

    pub(crate) fn subheading(&mut self, text: &str) {
        self.push(Part::Heading { level: 3, text: text.to_owned() });
    }

    pub(crate) fn text(&mut self, text: impl Into<String>) {
        self.push(Part::Text { text: vec![text.into()] });
    }

    /// A copy of a photograph, if there is still room for it.
    pub(crate) fn photo(&mut self, picture: &Picture, copy: Copy, words: Said) -> Option<Photo> {
        let name = format!("{}.{}", picture.sha256, if copy.large { "screen" } else { "list" });
        if !self.pictures.contains_key(&name) {
            let most = if copy.large { MOST_LARGE } else { MOST_SMALL };
            if self.pictures.values().filter(|c| c.large == copy.large).count() >= most {
                return None;
            }
            self.pictures.insert(name.clone(), copy);
        }
        Some(Photo {
            key: name,
            width: picture.width.max(1),
            height: picture.height.max(1),
            alt: words.alt,
            caption: words.caption,
            place: words.place,
        })
    }

    /// A drawing, by its number.
    pub(crate) fn drawing(&mut self, svg: String) -> usize {
        self.drawings.push(svg);
        self.drawings.len() - 1
    }
}

/// What is said of a photograph.
#[derive(Clone, Debug, Default)]
pub(crate) struct Said {
    pub(crate) alt: String,
    pub(crate) caption: String,
    pub(crate) place: Option<(f64, f64)>,
}

/// A document, as the look reads it.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Paper {
    pub(crate) lang: &'static str,
    pub(crate) region: &'static str,
    pub(crate) document_title: String,
    pub(crate) title: String,
    pub(crate) author: String,
    pub(crate) description: String,
    pub(crate) footer: String,
    /// Before the page's number, and between it and how many there are.
    pub(crate) page_words: [&'static str; 2],
    /// Name, then further lines.
    pub(crate) operator: Vec<String>,
    pub(crate) parts: Vec<Part>,
}

/// Most letters at the foot of a page: one line.
const FOOT: usize = 90;

/// What stands at the foot of every page, cut to one line; in full it stands at the head of the document.
pub(crate) fn foot(words: &str) -> String {
    if words.chars().count() <= FOOT {
        return words.to_owned();
    }
    words.chars().take(FOOT - 1).chain(['…']).collect()
}

/// The language as a document declares it.
pub(crate) const fn tag_of(lang: Lang) -> (&'static str, &'static str) {
    match lang {
        Lang::En => ("en", "GB"),
        Lang::De => ("de", "DE"),
    }
}

/// One piece of a document.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub(crate) enum Part {
    Heading {
        level: u8,
        text: String,
    },
    Lead {
        text: String,
    },
    /// Paragraphs.
    Text {
        text: Vec<String>,
    },
    /// Something not to be overlooked.
    Notice {
        label: String,
        text: String,
    },
    Facts {
        rows: Vec<(String, String)>,
    },
    Table {
        columns: Vec<Column>,
        rows: Vec<Row>,
    },
    Photos {
        photos: Vec<Photo>,
    },
    Mark {
        title: String,
        lines: Vec<String>,
        photos: Vec<Photo>,
    },
    Signatures {
        signatures: Vec<Signed>,
    },
    /// How a topic was told, then what was told, then its caution in full.
    Topic {
        lines: Vec<String>,
        label: String,
        caution: Option<String>,
    },
    /// What to do, in order.
    Steps {
        title: String,
        steps: Vec<String>,
    },
    Hashes {
        rows: Vec<(String, String)>,
    },
    NewPage,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Column {
    pub(crate) title: &'static str,
    /// Of the width that is left; 0 for as wide as what stands in it.
    pub(crate) share: u8,
    /// Numbers, under each other.
    pub(crate) right: bool,
    pub(crate) bold: bool,
}

impl Column {
    pub(crate) const fn new(title: &'static str, share: u8) -> Self {
        Self { title, share, right: false, bold: false }
    }

    pub(crate) const fn right(title: &'static str) -> Self {
        Self { title, share: 0, right: true, bold: false }
    }

    pub(crate) const fn bold(title: &'static str, share: u8) -> Self {
        Self { title, share, right: false, bold: true }
    }
}

/// Each cell in lines.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Row {
    pub(crate) cells: Vec<Vec<String>>,
    pub(crate) strong: bool,
}

impl Row {
    pub(crate) const fn new(cells: Vec<Vec<String>>) -> Self {
        Self { cells, strong: false }
    }

    pub(crate) fn plain(cells: impl IntoIterator<Item = String>) -> Self {
        Self::new(cells.into_iter().map(|words| vec![words]).collect())
    }
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Photo {
    key: String,
    width: u32,
    height: u32,
    alt: String,
    caption: String,
    place: Option<(f64, f64)>,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Signed {
    pub(crate) name: String,
    pub(crate) lines: Vec<String>,
    /// Number of the drawing.
    pub(crate) drawing: Option<usize>,
    pub(crate) alt: String,
}
