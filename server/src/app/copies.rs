//! Copies of a photograph: which there are, what they are called, and when they are made.
//!
//! A worker makes all of them but one as soon as a photograph is in. The largest as WebP takes as long as all others
//! together and is seldom asked for: it is made on first request, as is any copy that is asked for before the worker
//! came to it. Whoever makes a copy makes the same bytes.

use super::{App, Refusal};
use crate::blobs::BlobName;
use handsel_imaging::{Encoding, IngestError, Limits, RgbImage, encode, smaller, upright};
use serde::Deserialize;
use utoipa::ToSchema;

/// Counts up whenever copies come out otherwise than before: they get other names and other tags.
const WAY: u32 = 2;

/// A copy to look at, by its longest edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// 320 pixels.
    List,
    /// 1600 pixels.
    Screen,
    /// 2560 pixels.
    Zoom,
}

impl Size {
    pub(super) const fn max_edge(self) -> u32 {
        match self {
            Self::List => 320,
            Self::Screen => 1600,
            Self::Zoom => 2560,
        }
    }
}

/// A file to serve, and the tag that stands for its very bytes.
#[derive(Clone, Debug)]
pub struct Served {
    pub media_type: &'static str,
    pub tag: String,
    pub name: BlobName,
}

/// A form that callers accept, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Jpeg,
    WebP,
}

impl From<Form> for Encoding {
    fn from(form: Form) -> Self {
        match form {
            Form::Jpeg => Self::Jpeg,
            Form::WebP => Self::WebP,
        }
    }
}

const fn ending(encoding: Encoding) -> &'static str {
    match encoding {
        Encoding::Jpeg => "jpg",
        Encoding::WebP => "webp",
    }
}

/// What stands behind the hash in a copy's name.
fn suffix(edge: u32, encoding: Encoding) -> String {
    format!("{edge}.{WAY}.{}", ending(encoding))
}

/// Something made of an original, under its name.
pub(super) fn served(sha256: &str, what: &str, encoding: Encoding) -> Result<Served, Refusal> {
    Ok(Served { media_type: encoding.media_type(), tag: format!("{sha256}.{what}"), name: name(sha256, what)? })
}

/// What something made of an original is kept under.
pub(super) fn name(sha256: &str, what: &str) -> Result<BlobName, Refusal> {
    BlobName::made(sha256, what).ok_or_else(|| Refusal::internal(format!("`{sha256}` and `{what}` make no name")))
}

/// A copy of an original.
pub(super) fn copy(sha256: &str, size: Size, form: Form) -> Result<Served, Refusal> {
    let encoding = Encoding::from(form);
    served(sha256, &suffix(size.max_edge(), encoding), encoding)
}

/// What stands behind a return photograph's hash for the departure's as the return's saw it.
pub(super) fn before(sha256: &str, what: &str) -> String {
    format!("before-{}.{what}", sha256.get(..16).unwrap_or(sha256))
}

/// The departure's photograph as a return's saw it. There is none larger than a screen's: it was laid over at that size.
pub(super) fn aligned(after: &str, departure: &str, size: Size, form: Form) -> Result<Served, Refusal> {
    let edge = size.max_edge().min(Size::Screen.max_edge());
    let encoding = Encoding::from(form);
    served(after, &before(departure, &suffix(edge, encoding)), encoding)
}

/// Every name a copy of an original can have.
pub(super) fn names(sha256: &str) -> Result<Vec<BlobName>, Refusal> {
    let sizes = [Size::List, Size::Screen, Size::Zoom];
    let each = sizes.into_iter().flat_map(|size| Encoding::ALL.map(|encoding| suffix(size.max_edge(), encoding)));
    each.map(|what| name(sha256, &what)).collect()
}

/// A file made of pixels, by what stands behind the hash in its name.
#[derive(Debug)]
pub(super) struct Made {
    pub(super) what: String,
    pub(super) bytes: Vec<u8>,
}

/// The copies that a worker makes.
const KEPT: [(Size, &[Encoding]); 3] =
    [(Size::Zoom, &[Encoding::Jpeg]), (Size::Screen, &Encoding::ALL), (Size::List, &Encoding::ALL)];

/// Whether all of them are there.
pub(super) async fn all_there(app: &App, sha256: &str) -> Result<bool, Refusal> {
    for (size, encodings) in KEPT {
        for encoding in encodings {
            let copy = served(sha256, &suffix(size.max_edge(), *encoding), *encoding)?;
            if !app.blobs.has(copy.name).await? {
                return Ok(false);
            }
        }
    }
    Ok(true)
}

/// The files a worker makes of one copy.
fn files(image: &RgbImage, of: Size) -> Result<Vec<Made>, IngestError> {
    let encodings = KEPT.iter().filter(|(size, _)| *size == of).flat_map(|(_, encodings)| *encodings);
    encodings.map(|e| Ok(Made { what: suffix(of.max_edge(), *e), bytes: encode(image, *e)? })).collect()
}

/// Decodes once, and makes each copy of the next larger one. `on_screen` looks at the one for the screen.
pub(super) fn develop<T>(
    bytes: &[u8],
    limits: &Limits,
    on_screen: impl FnOnce(&RgbImage) -> T,
) -> Result<(Vec<Made>, T), IngestError> {
    let zoom = upright(bytes, limits, Size::Zoom.max_edge())?;
    let mut made = files(&zoom, Size::Zoom)?;
    let screen = smaller(zoom, Size::Screen.max_edge())?;
    made.extend(files(&screen, Size::Screen)?);
    let looked = on_screen(&screen);
    let list = smaller(screen, Size::List.max_edge())?;
    made.extend(files(&list, Size::List)?);
    Ok((made, looked))
}

/// The files of a picture that was laid over another: for the screen, and for a list.
pub(super) fn of_aligned(screen: RgbImage) -> Result<Vec<Made>, IngestError> {
    let mut made = files(&screen, Size::Screen)?;
    let list = smaller(screen, Size::List.max_edge())?;
    made.extend(files(&list, Size::List)?);
    Ok(made)
}
