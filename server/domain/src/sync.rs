//! The order in which a device's operations are taken, each once: the one rule that the server follows for whatever
//! comes, whether for the first time, again, out of turn, or not at all.

use crate::ids::{DeviceId, OperationId};

/// An operation, as far as taking it in turn goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turn {
    pub device: DeviceId,
    /// From 1 on, without gaps.
    pub sequence: u32,
    pub id: OperationId,
    /// SHA-256 of its canonical JSON.
    pub content: String,
}

/// What to do with an operation that came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Admit {
    /// It is this one's turn: do it, and remember it as handled whatever comes of it.
    Apply,
    /// It was handled before: give the same answer again.
    Again,
    /// Its id or its number belongs to another operation. When its number is the next one, that counts as handled, so
    /// that the device's later operations go on.
    Reused { counts: bool },
    /// Others come before it: nothing is done.
    Early { expected: u32 },
}

impl Admit {
    /// The highest number handled once this was decided and done.
    #[must_use]
    pub const fn then_handled(self, handled: u32) -> u32 {
        match self {
            Self::Apply | Self::Reused { counts: true } => handled.saturating_add(1),
            Self::Again | Self::Reused { counts: false } | Self::Early { .. } => handled,
        }
    }
}

/// Decides about an operation. `handled` is the highest number handled of its device, 0 for a device never heard of;
/// `known` is the operation of the same id that was handled, whoever's.
#[must_use]
pub fn admit(handled: u32, known: Option<&Turn>, asked: &Turn) -> Admit {
    if known == Some(asked) {
        return Admit::Again;
    }
    let expected = handled.saturating_add(1);
    if asked.sequence > expected {
        return Admit::Early { expected };
    }
    let next = asked.sequence == expected;
    if next && known.is_none() { Admit::Apply } else { Admit::Reused { counts: next } }
}
