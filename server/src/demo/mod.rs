//! A server to try out: embedded database, photographs in the same folder, an invented fleet with hires in every state.

mod ahead;
mod album;
mod clock;
mod fleet;
mod hires;
mod pictures;
mod tariffs;
mod walk;

use crate::app::{App, House, Operator, Refusal, Setup};
use crate::blobs::BlobPlace;
use crate::config::{Config, PhotoWork, Places};
use crate::effects::Effects;
use crate::outside::{Addresses, Outside};
use crate::seal_file;
use crate::startup::{Application, StartError};
use crate::store::Store;
use album::Album;
use clock::SetClock;
use handsel_domain::policy::Role;
use handsel_domain::time::{Instant, Zone};
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// An account of the demonstration.
#[derive(Clone, Debug)]
pub struct Account {
    pub email: String,
    pub password: String,
    pub role: Role,
}

/// What every account of the demonstration is opened with. It protects nothing but invented data.
pub const PASSWORD: &str = "walk-round-2026";

/// The accounts, in the order of the work.
#[must_use]
pub fn accounts() -> Vec<Account> {
    [("desk", Role::Desk), ("yard", Role::Inspector), ("office", Role::Office), ("manager", Role::Manager)]
        .into_iter()
        .map(|(name, role)| Account { email: format!("{name}@fernway.example"), password: PASSWORD.to_owned(), role })
        .collect()
}

/// Builds the demonstration in a folder; port 0 takes a free one. A folder that is already filled is opened as it is.
///
/// # Errors
/// What could not be opened or filled, and why.
pub async fn build(data: &Path, port: u16, web: Option<PathBuf>, effects: Effects) -> Result<Application, StartError> {
    std::fs::create_dir_all(data).map_err(|e| StartError::of(format!("{} cannot be made", data.display()), &e))?;
    let mut secret = [0_u8; 32];
    effects.random.fill(&mut secret);
    let config = Config {
        listen: SocketAddr::from((Ipv4Addr::LOCALHOST, port)),
        places: Places {
            database_url: format!("sqlite://{}?mode=rwc", data.join("handsel.db").display()),
            blobs: BlobPlace::Folder(data.join("photos")),
            seal_key: data.join("seal-key.pem"),
        },
        // Sessions end when the demonstration does.
        jwt_secret: hex::encode(secret),
        operator: operator(),
        house: House::default(),
        outside: Addresses::default(),
        web,
        workers: None,
        photos: PhotoWork::default(),
        first_manager: None,
    };
    // A folder is filled to the end or not at all: an interrupted filling is seen by the missing note, and begun anew.
    let note = data.join("filled");
    if !note.exists() {
        clear(data)?;
        fill(&config, &effects).await?;
        std::fs::write(&note, "The invented fleet is complete.\n")
            .map_err(|e| StartError::of(format!("{} cannot be written", note.display()), &e))?;
    }
    Application::build(config, effects).await
}

fn operator() -> Operator {
    Operator {
        name: "Fernway Campers (invented)".to_owned(),
        address: "1 Example Row, Exampleton".to_owned(),
        contact: "office@fernway.example · 01632 960100".to_owned(),
    }
}

/// Takes away what an interrupted filling left.
fn clear(data: &Path) -> Result<(), StartError> {
    for name in ["handsel.db", "handsel.db-wal", "handsel.db-shm"] {
        let file = data.join(name);
        if file.exists() {
            std::fs::remove_file(&file)
                .map_err(|e| StartError::of(format!("{} cannot be removed", file.display()), &e))?;
        }
    }
    Ok(())
}

async fn fill(config: &Config, effects: &Effects) -> Result<(), StartError> {
    let now = effects.now();
    let clock = Arc::new(SetClock::new(now));
    let effects = Effects { clock: clock.clone(), ..effects.clone() };
    let store = Store::open(&config.places.database_url)
        .await
        .map_err(|e| StartError::of("the database cannot be opened", &e))?;
    let blobs = config.places.blobs.open().map_err(|e| StartError::of("the photographs' folder", &e))?;
    let setup = Setup {
        seal_key: seal_file::open(&config.places.seal_key, &effects)?,
        secret: config.jwt_secret.clone().into_bytes(),
        operator: config.operator.clone(),
        house: config.house.clone(),
        outside: Outside::default(),
        photo_memory_mib: config.photos.memory_mib,
    };
    let app = App::new(store, blobs, effects.clone(), setup);
    let demo = Demo { app, effects, clock, now, album: Album::default() };
    let filled = async {
        let fleet = fleet::make(&demo).await?;
        hires::make(&demo, &fleet).await
    };
    filled.await.map_err(|refusal: Refusal| {
        let faults: Vec<String> = refusal.faults.iter().map(|f| format!("{}: {}", f.pointer, f.detail)).collect();
        let cause = refusal.cause.unwrap_or_default();
        StartError::of(
            "the invented fleet cannot be made",
            &format!("{} {} {cause}", refusal.detail, faults.join("; ")),
        )
    })
}

/// What the filling works with: the same deeds the routes call, under a clock that can be set.
struct Demo {
    app: App,
    effects: Effects,
    clock: Arc<SetClock>,
    /// When the demonstration was started; everything is laid out around it.
    now: Instant,
    album: Album,
}

impl Demo {
    fn id(&self) -> uuid::Uuid {
        self.effects.ids.next()
    }

    /// A day some days from today.
    fn at_date(&self, days: i64) -> chrono::NaiveDate {
        self.now.plus_seconds(days * 86_400).utc().date_naive()
    }

    /// A wall-clock hour some days from today, at a depot.
    fn at(&self, zone: Zone, days: i64, hour: u32, minute: u32) -> Instant {
        let day = zone.date(self.now.plus_seconds(days * 86_400)).0;
        day.and_hms_opt(hour, minute, 0).map_or(self.now, |wall| zone.instant(wall))
    }
}
