//! Work that is done after the answer is given, and survives a server that is killed: what is to be done stands in the
//! database, written in the transaction that made it due. States consume each other; what is not a transition here
//! cannot happen.

mod pool;

pub use pool::{Outcome, Pool, Workshop};

use handsel_domain::time::Instant;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Seconds a job is somebody's before it must be claimed anew. Short, as a killed server's jobs wait this long.
const LEASE_SECONDS: i64 = 20;
/// Seconds before the second attempt; each further one waits four times as long, an hour at most.
const FIRST_WAIT_SECONDS: i64 = 5;
const LONGEST_WAIT_SECONDS: i64 = 3600;

/// What there is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Copies, figures and repeats of one photograph.
    Photo,
    /// What is worth a look on a return's photograph.
    Point,
    /// A letter by electronic mail.
    Letter,
    /// Telling another program of something.
    Notice,
}

impl Kind {
    pub const ALL: [Self; 4] = [Self::Photo, Self::Point, Self::Letter, Self::Notice];
    /// What is done about photographs.
    pub const DARKROOM: &[Self] = &[Self::Photo, Self::Point];
    /// What goes out to others, who may be away for days.
    pub const POST: &[Self] = &[Self::Letter, Self::Notice];

    /// Attempts before a job is given up: about seven minutes of them at home, about two days of them elsewhere.
    const fn attempts(self) -> u32 {
        match self {
            Self::Photo | Self::Point => 5,
            Self::Letter | Self::Notice => 50,
        }
    }
}

/// A job's place in its life, as it is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    Waiting,
    Running,
    Done,
    Failed,
}

impl Stage {
    pub const ALL: [Self; 4] = [Self::Waiting, Self::Running, Self::Done, Self::Failed];
}

/// One thing to do, once for each kind and subject.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Job {
    pub kind: Kind,
    pub subject: Uuid,
    /// Attempts begun so far. Whoever settles a job names the attempt, so that one who lost it settles nothing.
    pub attempts: u32,
}

/// A job that may be begun: waiting and due, or left by somebody whose lease ran out.
#[derive(Clone, Copy, Debug)]
pub struct Due(pub Job);

/// A job that somebody is at.
#[derive(Clone, Copy, Debug)]
pub struct Taken {
    pub job: Job,
    pub lease_until: Instant,
}

/// Where a taken job goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Settled {
    /// To be begun again, from a moment on.
    Waiting {
        next_at: Instant,
        attempts: u32,
    },
    Done,
    /// Given up, with the last attempt's reason.
    Failed {
        reason: String,
    },
}

impl Due {
    /// Begins another attempt.
    #[must_use]
    pub fn take(self, now: Instant) -> Taken {
        let job = Job { attempts: self.0.attempts.saturating_add(1), ..self.0 };
        Taken { job, lease_until: now.plus_seconds(LEASE_SECONDS) }
    }
}

impl Taken {
    /// Stays somebody's for another while.
    #[must_use]
    pub fn extend(self, now: Instant) -> Self {
        Self { lease_until: now.plus_seconds(LEASE_SECONDS), ..self }
    }

    #[must_use]
    pub const fn finish(self) -> Settled {
        Settled::Done
    }

    /// Tries again later, and gives up after enough attempts.
    #[must_use]
    pub fn fail(self, reason: String, now: Instant) -> Settled {
        let attempts = self.job.attempts;
        if attempts >= self.job.kind.attempts() {
            return Settled::Failed { reason };
        }
        let wait = FIRST_WAIT_SECONDS
            .saturating_mul(4_i64.saturating_pow(attempts.saturating_sub(1)))
            .min(LONGEST_WAIT_SECONDS);
        Settled::Waiting { next_at: now.plus_seconds(wait), attempts }
    }

    /// Gives the job back untouched: the server stops. The attempt does not count.
    #[must_use]
    pub const fn release(self, now: Instant) -> Settled {
        Settled::Waiting { next_at: now, attempts: self.job.attempts.saturating_sub(1) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> Instant {
        "2026-03-28T10:00:00Z".parse().unwrap()
    }

    fn taken(attempts: u32) -> Taken {
        Due(Job { kind: Kind::Photo, subject: Uuid::nil(), attempts }).take(now())
    }

    #[test]
    fn a_failing_job_waits_longer_each_time_and_is_given_up() {
        let waits: Vec<Settled> = (0..5).map(|n| taken(n).fail("no".to_owned(), now())).collect();
        let wait = |seconds, attempts| Settled::Waiting { next_at: now().plus_seconds(seconds), attempts };
        let failed = Settled::Failed { reason: "no".to_owned() };
        assert_eq!(waits, [wait(5, 1), wait(20, 2), wait(80, 3), wait(320, 4), failed]);
    }

    #[test]
    fn a_job_given_back_is_due_at_once_and_has_lost_no_attempt() {
        assert_eq!(taken(2).release(now()), Settled::Waiting { next_at: now(), attempts: 2 });
        assert_eq!(taken(2).finish(), Settled::Done);
        assert!(taken(0).extend(now().plus_seconds(60)).lease_until > taken(0).lease_until);
    }
}
