//! Words for people, in more than one language.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// A language the product speaks. Another one is one more file in `words/` and one more variant here.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Lang {
    #[default]
    En,
    De,
}

impl Lang {
    /// Every language, in the order shown to people.
    pub const ALL: [Self; 2] = [Self::En, Self::De];

    /// The best supported language of an `Accept-Language` value or a plain tag (BCP 47); English when none fits.
    #[must_use]
    pub fn pick(tags: &str) -> Self {
        let mut best = (Self::En, -1.0_f32);
        for part in tags.split(',') {
            let mut pieces = part.trim().split(';');
            let tag = pieces.next().unwrap_or_default().trim().to_ascii_lowercase();
            let weight =
                pieces.find_map(|p| p.trim().strip_prefix("q=").and_then(|q| q.parse::<f32>().ok())).unwrap_or(1.0);
            let lang = match tag.split('-').next() {
                Some("de") => Self::De,
                Some("en" | "*") => Self::En,
                _ => continue,
            };
            if weight > best.1 {
                best = (lang, weight);
            }
        }
        best.0
    }
}

/// The same words in each language. English is always there; a language that is missing falls back to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "BTreeMap<Lang, String>")]
#[schema(value_type = BTreeMap<String, String>, example = json!({"en": "Fuel level", "de": "Tankstand"}))]
pub struct Text(BTreeMap<Lang, String>);

impl Text {
    /// Words in English only.
    #[must_use]
    pub fn en(words: impl Into<String>) -> Self {
        Self(BTreeMap::from([(Lang::En, words.into())]))
    }

    /// Words in English and German.
    #[must_use]
    pub fn both(en: impl Into<String>, de: impl Into<String>) -> Self {
        Self(BTreeMap::from([(Lang::En, en.into()), (Lang::De, de.into())]))
    }

    /// The words in a language, or in English where that language has none.
    #[must_use]
    pub fn get(&self, lang: Lang) -> &str {
        self.0.get(&lang).or_else(|| self.0.get(&Lang::En)).map_or("", String::as_str)
    }

    /// Whether the words are there in this very language.
    #[must_use]
    pub fn has(&self, lang: Lang) -> bool {
        self.0.get(&lang).is_some_and(|w| !w.trim().is_empty())
    }
}

impl TryFrom<BTreeMap<Lang, String>> for Text {
    type Error = &'static str;
    fn try_from(words: BTreeMap<Lang, String>) -> Result<Self, Self::Error> {
        match words.get(&Lang::En) {
            Some(en) if !en.trim().is_empty() => Ok(Self(words)),
            _ => Err("words need an English version under \"en\""),
        }
    }
}
