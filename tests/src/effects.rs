use handsel::effects::{Clock, Ids, Random};
use handsel_domain::time::Instant;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use uuid::{NoContext, Timestamp, Uuid};

/// A clock that stands still until it is set.
#[derive(Debug)]
pub struct SetClock(Mutex<Instant>);

impl SetClock {
    #[must_use]
    pub fn at(time: &str) -> Self {
        Self(Mutex::new(time.parse().expect("an instant")))
    }

    pub fn set(&self, time: &str) {
        *self.0.lock().unwrap() = time.parse().expect("an instant");
    }

    pub fn pass(&self, seconds: i64) {
        let mut now = self.0.lock().unwrap();
        *now = now.plus_seconds(seconds);
    }
}

impl Clock for SetClock {
    fn now(&self) -> Instant {
        *self.0.lock().unwrap()
    }
}

/// Ids and bytes that follow from a number, each once.
#[derive(Debug, Default)]
pub struct Sequence(AtomicU64);

impl Sequence {
    fn count(&self) -> u64 {
        self.0.fetch_add(1, Ordering::Relaxed)
    }
}

impl Ids for Sequence {
    fn next(&self) -> Uuid {
        Uuid::new_v7(Timestamp::from_unix(NoContext, 1_700_000_000 + self.count(), 0))
    }
}

impl Random for Sequence {
    fn fill(&self, bytes: &mut [u8]) {
        use sha2::{Digest, Sha256};
        let seed = Sha256::digest(self.count().to_be_bytes());
        for (byte, value) in bytes.iter_mut().zip(seed.iter().cycle()) {
            *byte = *value;
        }
    }
}
