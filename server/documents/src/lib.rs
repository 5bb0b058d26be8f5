//! What is handed to people: the itemised statement as data, as a page that reads and prints well, and typeset; and the
//! records of handing over and of bringing back, typeset.
//!
//! A typeset document is drafted from typed data ([`record`], [`statement_paper`]), which tells the photographs it shows
//! ([`Draft::pictures`]) and what it says ([`Draft::tag`]), and then set with them ([`Draft::set`]). The same data come
//! to the same bytes: no clock, no chance, no file and no network is within reach of the typesetting.

pub mod bundle;
mod draft;
mod emergency;
pub mod letters;
mod record;
mod record_marks;
mod record_parts;
pub mod statement;
mod statement_page;
mod statement_paper;
mod statement_words;
pub mod tables;
mod typeset;
mod words;

pub use draft::{Copy, Draft, PaperError, Picture};
pub use record::{DepotFacts, Figures, Record, SealFacts, Strokes, record};
pub use statement::Statement;
pub use statement_page::html;
pub use statement_paper::{DisputeTerms, statement_paper};
