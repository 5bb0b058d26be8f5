//! The toilet cassette (rule 4).

use crate::inspection::CassetteState;

/// Whether a cassette's fee is due: it came back worse than empty, and went out empty.
#[must_use]
pub fn fee_due(out: CassetteState, back: CassetteState) -> bool {
    out <= CassetteState::Empty && back > CassetteState::Empty
}
