//! Why a photograph is not taken, in plain words with what to do about it.

use crate::Format;
use std::fmt;

/// What is taken in. Everything here is looked at before a pixel is decoded.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    pub bytes: usize,
    pub pixels: u64,
    /// Longest edge in pixels.
    pub edge: u32,
    /// Most memory that decoding may take, in bytes.
    pub memory: u64,
    /// Most that may stand beside the pixels, and most that any of it may unpack to, in bytes.
    pub metadata: usize,
    /// Most passes a progressive JPEG may come in.
    pub scans: usize,
}

const MIB: usize = 1024 * 1024;

impl Default for Limits {
    /// 25 MiB, 60 megapixels, 16 384 pixels along an edge, 384 MiB to decode in, 8 MiB of metadata and 64 scans.
    fn default() -> Self {
        Self {
            bytes: 25 * MIB,
            pixels: 60_000_000,
            edge: 16_384,
            memory: 384 * 1024 * 1024,
            metadata: 8 * MIB,
            scans: 64,
        }
    }
}

/// Why a photograph is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum IngestError {
    /// Nothing at all was sent.
    Empty,
    /// Not JPEG, PNG or WebP, whatever its name says; what it looks like instead, where that is known.
    UnknownFormat {
        looks_like: Option<&'static str>,
    },
    /// A format of some telephones that browsers cannot show.
    Heic,
    /// As [`Self::Heic`], by another name.
    Avif,
    /// Sent as one kind of image, and another by its content.
    Contradicted {
        declared: String,
        found: Format,
    },
    TooManyBytes {
        limit: usize,
    },
    TooManyPixels {
        width: u32,
        height: u32,
        limit: u64,
    },
    TooLong {
        width: u32,
        height: u32,
        limit: u32,
    },
    /// No width or no height.
    NoSize {
        width: u32,
        height: u32,
    },
    TooMuchMemory {
        needs: u64,
        limit: u64,
    },
    /// Ends before its picture does.
    Truncated {
        what: &'static str,
    },
    /// Begins like an image, but cannot be read as one.
    Damaged {
        what: String,
    },
    /// A photograph and something else in one file.
    Polyglot {
        what: &'static str,
        at: usize,
    },
    /// More than one picture, one after another.
    Animated,
    /// Packed so that little unpacks to very much.
    Inflates {
        what: &'static str,
        limit: u64,
    },
    TooManyScans {
        limit: usize,
    },
    TooMuchMetadata {
        limit: usize,
    },
    /// Colours that are not red, green and blue or grey.
    Colours(&'static str),
    /// A way of coding that hardly anything reads.
    Coding(&'static str),
}

impl IngestError {
    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        Self::Damaged { what: what.into() }
    }
}

impl fmt::Display for IngestError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the file is empty: take or choose the photograph again"),
            Self::UnknownFormat { looks_like: Some(what) } => {
                write!(f, "the bytes are {what}, not a JPEG, PNG or WebP image: send one of these")
            }
            Self::UnknownFormat { looks_like: None } => {
                f.write_str("the bytes are not a JPEG, PNG or WebP image: send one of these")
            }
            Self::Heic => not_shown(f, "HEIC"),
            Self::Avif => not_shown(f, "AVIF"),
            Self::Contradicted { declared, found } => write!(
                f,
                "it was sent as {declared}, but its bytes are {}: send it under its own type, or without one",
                found.media_type()
            ),
            Self::TooManyBytes { limit } => {
                write!(f, "the photograph is larger than {} MiB: send a smaller copy", limit / MIB)
            }
            Self::TooManyPixels { width, height, limit } => write!(
                f,
                "the photograph has {width} x {height} pixels, more than {} megapixels: send a smaller copy",
                limit / 1_000_000
            ),
            Self::TooLong { width, height, limit } => write!(
                f,
                "the photograph has {width} x {height} pixels, longer than {limit} on one side: send a smaller copy"
            ),
            Self::NoSize { width, height } => write!(
                f,
                "its header says {width} x {height} pixels, which is no size: take or export the photograph again"
            ),
            Self::TooMuchMemory { needs, limit } => write!(
                f,
                "reading the photograph takes {} MiB, more than {} MiB: save it as an ordinary JPEG, or smaller",
                needs / (1024 * 1024),
                limit / (1024 * 1024)
            ),
            Self::Truncated { what } => {
                write!(f, "the image is cut off ({what}): send it again, or take it again if it stays so")
            }
            Self::Damaged { what } => write!(f, "the image is damaged ({what}): take or send it again"),
            Self::Polyglot { what, at } => write!(
                f,
                "the file is more than a photograph: {what} at byte {at}. Save the picture on its own and send that"
            ),
            Self::Animated => f.write_str("the file holds more than one picture: send a single photograph"),
            Self::Inflates { what, limit } => write!(
                f,
                "{what} unpacks to more than the {} KiB it may: save the picture again and send that",
                limit / 1024
            ),
            Self::TooManyScans { limit } => {
                write!(f, "the JPEG comes in more than {limit} passes: save it again as an ordinary JPEG")
            }
            Self::TooMuchMetadata { limit } => write!(
                f,
                "more than {} MiB stand beside the picture: save it without its metadata and send that",
                limit / MIB
            ),
            Self::Colours(which) => {
                write!(f, "its colours are {which}: save it with the colours of a screen (RGB) and send that")
            }
            Self::Coding(which) => write!(f, "it is coded as {which}: save it as an ordinary JPEG and send that"),
        }
    }
}

fn not_shown(f: &mut fmt::Formatter<'_>, kind: &str) -> fmt::Result {
    write!(
        f,
        "the photograph is {kind}, which not every browser shows: set the camera to its most compatible format (JPEG), \
         or take the picture from within the app"
    )
}

impl std::error::Error for IngestError {}
