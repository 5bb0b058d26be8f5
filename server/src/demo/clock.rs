//! A clock that is set, not read: the demonstration's hires happened over the last weeks.

use crate::effects::Clock;
use handsel_domain::time::{Instant, Zone};
use std::sync::{Mutex, PoisonError};

#[derive(Debug)]
pub(super) struct SetClock(Mutex<Instant>);

impl SetClock {
    pub(super) const fn new(at: Instant) -> Self {
        Self(Mutex::new(at))
    }

    pub(super) fn set(&self, at: Instant) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = at;
    }
}

impl Clock for SetClock {
    fn now(&self) -> Instant {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Half past midnight, at a depot, of the last day before `now` on which its clocks changed.
pub(super) fn last_clock_change(zone: Zone, now: Instant) -> Option<Instant> {
    let offset = |at: Instant| zone.wall(at) - at.utc().naive_utc();
    (2..400).find_map(|days| {
        let (before, after) = (now.plus_seconds(-(days + 1) * 86_400), now.plus_seconds(-days * 86_400));
        if offset(before) == offset(after) {
            return None;
        }
        // Clocks change in the small hours, so the day on which they did is the later one's.
        zone.date(after).0.and_hms_opt(0, 30, 0).map(|wall| zone.instant(wall)).filter(|at| *at < after)
    })
}
