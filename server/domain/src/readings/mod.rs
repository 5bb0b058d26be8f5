//! One file per kind of reading (rule 4). Each compares a departure with a return and says what it found, in exact
//! figures; `comparison` turns that into lines.

pub mod battery;
pub mod cassette;
pub mod cleanliness;
pub mod distance;
pub mod fuel;
pub mod inventory;
pub mod lpg;
