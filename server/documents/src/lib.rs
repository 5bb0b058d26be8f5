//! What is handed to people: the itemised statement, as data and as a page that reads and prints well.

pub mod bundle;
pub mod letters;
pub mod statement;
mod statement_page;
mod statement_words;
pub mod tables;

pub use statement::Statement;
pub use statement_page::html;
