//! Merge patches: a field that is absent stays, one that is `null` is cleared.

use serde::{Deserialize, Deserializer};

/// Reads a field that is there. With `T` an `Option`, `null` clears it; with any other, `null` is refused.
pub(super) fn present<'de, T: Deserialize<'de>, D: Deserializer<'de>>(d: D) -> Result<Option<T>, D::Error> {
    T::deserialize(d).map(Some)
}
