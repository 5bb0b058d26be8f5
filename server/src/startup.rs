//! Builds the whole application from its configuration. The program and the tests start it alike.

use crate::app::input::NewStaff;
use crate::app::{App, Setup, bank_files, erasure, staff, sweep, workbench};
use crate::config::{Config, FirstManager};
use crate::effects::Effects;
use crate::http::{Server, bind};
use crate::outside::{Outside, prepare};
use crate::seal_file;
use crate::store::Store;
use handsel_domain::ids::StaffId;
use handsel_domain::policy::Role;
use std::fmt;
use std::io;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;

/// How often it is tidied up.
const EVERY: Duration = Duration::from_secs(60 * 60);

/// A built application, listening but not yet answering.
pub struct Application {
    app: App,
    server: Server,
    address: SocketAddr,
    photo_workers: usize,
}

impl fmt::Debug for Application {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Application").field("address", &self.address).finish_non_exhaustive()
    }
}

/// Why an application did not start.
#[derive(Debug)]
pub struct StartError {
    what: String,
    why: String,
}

impl fmt::Display for StartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.what, self.why)
    }
}

impl std::error::Error for StartError {}

impl StartError {
    /// What failed, and why.
    #[must_use]
    pub fn of(what: impl Into<String>, why: &dyn fmt::Display) -> Self {
        Self { what: what.into(), why: why.to_string() }
    }
}

fn failed<E: fmt::Display>(what: impl Into<String>) -> impl FnOnce(E) -> StartError {
    move |why| StartError::of(what, &why)
}

impl Application {
    /// Opens database and photographs, brings the schema up to date and starts listening.
    ///
    /// # Errors
    /// What could not be opened, and why.
    pub async fn build(config: Config, effects: Effects) -> Result<Self, StartError> {
        let store = Store::open(&config.places.database_url).await.map_err(failed("the database cannot be opened"))?;
        prepare();
        let blobs = config.places.blobs.open().map_err(failed("the place for photographs cannot be used"))?;
        let seal_key = seal_file::open(&config.places.seal_key, &effects)?;
        let outside = Outside::open(&config.outside).map_err(failed("what is outside cannot be reached"))?;
        let setup = Setup {
            house: config.house,
            outside,
            seal_key,
            secret: config.jwt_secret.into_bytes(),
            operator: config.operator,
            photo_memory_mib: config.photos.memory_mib,
        };
        let app = App::new(store, blobs, effects.clone(), setup);
        if let Some(first) = config.first_manager {
            begin(&app, &effects, first).await?;
        }
        let listener =
            TcpListener::bind(config.listen).map_err(failed(format!("{} cannot be listened on", config.listen)))?;
        let address = listener.local_addr().map_err(failed("the address listened on"))?;
        let server = bind(app.clone(), listener, config.web, config.workers).map_err(failed("the server"))?;
        Ok(Self { app, server, address, photo_workers: config.photos.workers })
    }

    /// The port it listens on: the one asked for, or a free one where that was 0.
    #[must_use]
    pub const fn port(&self) -> u16 {
        self.address.port()
    }

    /// What the routes call, for filling a demonstration the same way.
    #[must_use]
    pub const fn app(&self) -> &App {
        &self.app
    }

    /// Answers, and does what becomes due, until it is told to stop; then lets what is begun be finished or given back.
    ///
    /// # Errors
    /// The server broke down.
    pub async fn run(self) -> io::Result<()> {
        let pool = self.app.start_workers(self.photo_workers);
        let post = self.app.start_post();
        match bank_files::break_off(&self.app).await {
            Ok(0) => {}
            Ok(broken) => tracing::warn!(broken, "bank files broke off when the server last stopped"),
            Err(refusal) => tracing::warn!(%refusal, "bank files that broke off could not be noted"),
        }
        let tidying = tokio::spawn(tidy(self.app.clone()));
        let ended = self.server.await;
        tidying.abort();
        pool.stop().await;
        post.stop().await;
        ended
    }
}

/// Takes away what is no longer asked for, at once and then every hour.
async fn tidy(app: App) {
    let mut hours = tokio::time::interval(EVERY);
    loop {
        hours.tick().await;
        if let Err(refusal) = workbench::catch_up(&app).await {
            tracing::warn!(%refusal, "where some hires stand could not be reckoned; it is tried again in an hour");
        }
        match erasure::erase_due(&app).await {
            Ok(0) => {}
            Ok(hires) => tracing::info!(hires, "erased personal data whose time was over"),
            Err(refusal) => tracing::warn!(%refusal, "could not erase what is due; it is tried again in an hour"),
        }
        match sweep::sweep(&app).await {
            Ok(swept) if swept == sweep::Swept::default() => {}
            Ok(swept) => tracing::info!(?swept, "tidied up"),
            Err(refusal) => tracing::warn!(%refusal, "could not tidy up; it is tried again in an hour"),
        }
    }
}

/// The first account, unless there is one.
async fn begin(app: &App, effects: &Effects, first: FirstManager) -> Result<(), StartError> {
    let asked = NewStaff {
        id: StaffId(effects.ids.next()),
        email: first.email,
        name: "Manager".to_owned(),
        role: Role::Manager,
        depot: None,
        password: first.password,
    };
    match staff::found(app, asked).await {
        Ok(person) => tracing::info!(email = person.email, "made the first account"),
        Err(refusal) if refusal.code == crate::app::Code::Forbidden => {}
        Err(refusal) => return Err(failed("the first account cannot be made")(refusal)),
    }
    Ok(())
}
