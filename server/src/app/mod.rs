//! What can be done, one function for each deed: look up what the caller reaches, ask the policy, reckon with the
//! domain, keep the outcome, commit. Knows neither HTTP nor SQL.

pub mod addenda;
pub mod auth;
pub mod bank;
pub mod bank_files;
pub mod briefings;
pub mod bundle;
mod caller;
mod case;
mod check;
pub mod comparison;
pub mod contests;
mod copies;
mod darkroom;
pub mod decisions;
pub mod depots;
pub mod drivers;
pub mod entries;
pub mod erasure;
mod hire_rules;
pub mod hirer;
pub mod hires;
mod house;
mod images;
pub mod input;
pub mod inspections;
pub mod ledger;
pub mod links;
pub mod marks;
mod once;
mod open_walk;
pub mod operations;
mod pair;
pub mod papers;
pub mod payments;
mod photo_views;
pub mod photos;
pub mod pointers;
mod postroom;
mod refusal;
pub mod register;
pub mod reports;
mod seal_key;
pub mod sealing;
pub mod settlement;
pub mod sightings;
pub mod signing;
pub mod staff;
mod standing;
mod strokes;
pub mod sweep;
pub mod tariffs;
pub mod templates;
pub mod today;
pub mod uploads;
pub mod vehicles;
pub mod view;
mod walkround;
pub mod workbench;
mod workshop;

pub use crate::jobs::{Kind as JobKind, Stage as JobStage};
pub use crate::store::standing::Blocked;
pub use crate::store::{Page, PageAsk, Scope, record};
pub use caller::Caller;
pub use copies::{Form, Served, Size};
pub use handsel_bank::{Columns, Encoding, PaymentColumns};
pub use handsel_documents::statement::Operator;
pub use house::House;
pub use once::{Idempotency, Made, Replayed};
pub use refusal::{Code, Fault, Refusal};
pub use seal_key::SealKey;

use crate::blobs::Blobs;
use crate::effects::Effects;
use crate::jobs::{Kind, Pool, Stage};
use crate::outside::Outside;
use crate::store::{Store, job};
use images::Images;
use std::fmt;
use std::sync::Arc;
use tokio::sync::Notify;

/// Everything a deed needs.
#[derive(Clone)]
pub struct App {
    store: Store,
    blobs: Arc<dyn Blobs>,
    effects: Effects,
    tokens: auth::Tokens,
    images: Images,
    operator: Operator,
    house: House,
    outside: Outside,
    seal_key: SealKey,
    press: papers::Press,
    uploads: uploads::Busy,
    /// Wakes a worker: something is due.
    wake: Arc<Notify>,
    /// Wakes whoever carries letters and notices out.
    post: Arc<Notify>,
}

/// How the application is set up.
#[derive(Clone)]
pub struct Setup {
    /// Signs access tokens.
    pub secret: Vec<u8>,
    pub operator: Operator,
    pub house: House,
    pub outside: Outside,
    /// Signs seals.
    pub seal_key: SealKey,
    /// Memory that work on photographs may take at once, in MiB.
    pub photo_memory_mib: u32,
}

// The secret is kept out of logs.
impl fmt::Debug for Setup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Setup").field("photo_memory_mib", &self.photo_memory_mib).finish_non_exhaustive()
    }
}

impl fmt::Debug for App {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("App").field("operator", &self.operator.name).finish_non_exhaustive()
    }
}

impl App {
    #[must_use]
    pub fn new(store: Store, blobs: Arc<dyn Blobs>, effects: Effects, setup: Setup) -> Self {
        Self {
            store,
            blobs,
            effects,
            tokens: auth::Tokens::new(&setup.secret),
            images: Images::new(setup.photo_memory_mib),
            operator: setup.operator,
            house: setup.house,
            outside: setup.outside,
            seal_key: setup.seal_key,
            press: papers::Press::default(),
            uploads: uploads::Busy::default(),
            wake: Arc::default(),
            post: Arc::default(),
        }
    }

    /// Starts the workers that develop photographs.
    #[must_use]
    pub fn start_workers(&self, workers: usize) -> Pool {
        Pool::start(&workshop::open(self, Kind::DARKROOM), &self.wake, workers)
    }

    /// Starts whoever carries letters and notices out.
    #[must_use]
    pub fn start_post(&self) -> Pool {
        Pool::start(&workshop::open(self, Kind::POST), &self.post, 1)
    }

    /// How many jobs of each kind stand where.
    ///
    /// # Errors
    /// The database cannot be reached.
    pub async fn job_counts(&self) -> Result<Vec<(Kind, Stage, u64)>, Refusal> {
        let tx = self.store.read().await?;
        Ok(job::counts(&tx).await?)
    }

    /// Whether the database and the stored photographs can be reached; each else says why.
    pub async fn ready(&self) -> (Result<(), String>, Result<(), String>) {
        let database = self.store.ping().await.map_err(|e| e.to_string());
        let blobs = self.blobs.ready().await.map_err(|e| e.to_string());
        (database, blobs)
    }

    /// The time now, as every deed reads it.
    #[must_use]
    pub fn now(&self) -> handsel_domain::time::Instant {
        self.effects.now()
    }
}

impl PageAsk {
    /// # Errors
    /// A limit beyond 1 to 200, or a cursor that is none.
    pub fn new(limit: Option<u32>, after: Option<&str>) -> Result<Self, Refusal> {
        let limit = limit.unwrap_or(50);
        if !(1..=200).contains(&limit) {
            return Err(Refusal::new(Code::QueryInvalid, format!("limit={limit} is beyond 1 to 200."))
                .with(vec![Fault::new("limit", "use a number from 1 to 200")]));
        }
        let after = after.map(|text| {
            crate::store::Cursor::decode(text).ok_or_else(|| {
                Refusal::new(Code::QueryInvalid, "after is not a cursor: take it from the Link header of a page.")
                    .with(vec![Fault::new("after", "follow the Link header with rel=\"next\"")])
            })
        });
        Ok(Self { limit: u64::from(limit), after: after.transpose()? })
    }
}
