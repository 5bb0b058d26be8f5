use crate::client::Client;
use crate::database::{Kind, count, run};
use crate::effects::{Sequence, SetClock};
use handsel::app::{App, House, Operator};
use handsel::blobs::BlobPlace;
use handsel::config::{Config, FirstManager, PhotoWork, Places};
use handsel::effects::Effects;
use handsel::outside::Addresses;
use handsel::startup::Application;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tempfile::TempDir;
use tokio::task::JoinHandle;
use uuid::{NoContext, Timestamp, Uuid};

pub const MANAGER: &str = "ada@fernway.example";
pub const PASSWORD: &str = "a long enough password";
pub(crate) const SECRET: &str = "a secret only the tests know, 32+";

static NEXT_ID: AtomicU64 = AtomicU64::new(0);

/// A fresh id, as a device would make it.
#[must_use]
pub fn id() -> String {
    let number = NEXT_ID.fetch_add(1, Ordering::Relaxed);
    Uuid::new_v7(Timestamp::from_unix(NoContext, 1_800_000_000 + number, 0)).to_string()
}

/// A running server with an empty database of its own.
#[derive(Debug)]
pub struct World {
    pub clock: Arc<SetClock>,
    pub anonymous: Client,
    /// The server's own application, for what no route does.
    pub app: App,
    /// Where the database is.
    pub database_url: String,
    kind: Kind,
    dir: TempDir,
    server: JoinHandle<()>,
}

impl World {
    /// At ten in the morning of Saturday, 28 March 2026.
    pub async fn start(kind: Kind) -> Self {
        Self::with(kind, Addresses::default()).await
    }

    /// The same, with neighbours.
    pub async fn with(kind: Kind, outside: Addresses) -> Self {
        let dir = TempDir::new().expect("a folder");
        let database_url = kind.fresh(dir.path()).await;
        let clock = Arc::new(SetClock::at("2026-03-28T10:00:00Z"));
        let sequence = Arc::new(Sequence::default());
        let effects = Effects { clock: clock.clone(), ids: sequence.clone(), random: sequence };
        let web = dir.path().join("web");
        std::fs::create_dir_all(web.join("assets")).expect("a folder");
        std::fs::write(web.join("index.html"), "<!doctype html><title>Handsel</title>").expect("a page");
        std::fs::write(web.join("assets/app-1a2b.js"), "export {};").expect("a script");
        let config = Config {
            listen: SocketAddr::from((Ipv4Addr::LOCALHOST, 0)),
            places: Places {
                database_url: database_url.clone(),
                blobs: BlobPlace::Folder(dir.path().join("photos")),
                seal_key: dir.path().join("seal-key.pem"),
            },
            jwt_secret: SECRET.to_owned(),
            operator: Operator {
                name: "Fernway Campers".to_owned(),
                address: "1 Example Row".to_owned(),
                contact: "office@fernway.example".to_owned(),
            },
            house: House { public_url: "https://hire.fernway.example".to_owned(), ..House::default() },
            outside,
            web: Some(web),
            workers: Some(1),
            photos: PhotoWork::default(),
            first_manager: Some(FirstManager { email: MANAGER.to_owned(), password: PASSWORD.to_owned() }),
        };
        let application = Application::build(config, effects).await.expect("a server");
        let anonymous = Client::new(format!("http://127.0.0.1:{}", application.port()));
        let app = application.app().clone();
        let server = tokio::spawn(async move { application.run().await.expect("a server that runs") });
        Self { clock, anonymous, app, database_url, kind, dir, server }
    }

    /// Somebody signed in.
    pub async fn sign_in(&self, email: &str) -> Client {
        self.anonymous.signed_in(email).await
    }

    /// The manager who is there from the start.
    pub async fn manager(&self) -> Client {
        self.sign_in(MANAGER).await
    }

    /// The one number a statement asks for.
    pub async fn count(&self, statement: &str) -> i64 {
        count(&self.database_url, statement).await
    }

    /// Changes the database behind the server's back.
    pub async fn execute(&self, statement: &str) {
        run(&self.database_url, statement).await;
    }

    #[must_use]
    pub fn folder(&self) -> &std::path::Path {
        self.dir.path()
    }
}

impl Drop for World {
    fn drop(&mut self) {
        self.server.abort();
        self.kind.drop_apart(&self.database_url);
    }
}
