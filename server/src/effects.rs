//! Everything that differs from one run to the next: the time, fresh ids and randomness. Passed in, so that a test
//! can hold the clock still and everything else can be followed.

use handsel_domain::time::Instant;
use rand::Rng;
use std::fmt;
use std::sync::Arc;
use uuid::Uuid;

/// Tells the time.
pub trait Clock: Send + Sync {
    fn now(&self) -> Instant;
}

/// Makes ids nobody has made before, rising with time (UUIDv7).
pub trait Ids: Send + Sync {
    fn next(&self) -> Uuid;
}

/// Fills bytes that nobody can guess.
pub trait Random: Send + Sync {
    fn fill(&self, bytes: &mut [u8]);
}

/// The three of them.
#[derive(Clone)]
pub struct Effects {
    pub clock: Arc<dyn Clock>,
    pub ids: Arc<dyn Ids>,
    pub random: Arc<dyn Random>,
}

impl fmt::Debug for Effects {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Effects")
    }
}

impl Effects {
    /// The machine's own.
    #[must_use]
    pub fn system() -> Self {
        Self { clock: Arc::new(System), ids: Arc::new(System), random: Arc::new(System) }
    }

    #[must_use]
    pub fn now(&self) -> Instant {
        self.clock.now()
    }
}

/// The machine's clock and its source of randomness.
#[derive(Clone, Copy, Debug)]
struct System;

#[expect(clippy::disallowed_methods, reason = "the one place the machine's own clock, ids and randomness come in")]
mod system {
    use super::{Clock, Ids, Instant, Random, Rng, System, Uuid};

    impl Clock for System {
        fn now(&self) -> Instant {
            Instant::from_utc(chrono::Utc::now())
        }
    }

    impl Ids for System {
        fn next(&self) -> Uuid {
            Uuid::now_v7()
        }
    }

    impl Random for System {
        fn fill(&self, bytes: &mut [u8]) {
            rand::rng().fill_bytes(bytes);
        }
    }
}
