//! Everything the domain says to people, one file for each language.

mod de;
mod en;
mod numbers;
mod speak;

pub use speak::Words;

use crate::text::Lang;

/// The words of a language.
#[must_use]
pub fn words(lang: Lang) -> &'static dyn Words {
    match lang {
        Lang::En => &en::English,
        Lang::De => &de::German,
    }
}
