//! A service that speaks the S3 protocol over a folder, and lets in who signs with its key.

use hyper_util::rt::{TokioExecutor, TokioIo};
use hyper_util::server::conn::auto::Builder;
use s3s::auth::SimpleAuth;
use s3s::service::S3ServiceBuilder;
use s3s_fs::FileSystem;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::task::{JoinHandle, JoinSet};

const BUCKET: &str = "handsel";
const PREFIX: &str = "of/fernway";
const ACCESS_KEY: &str = "fernway";
const SECRET_KEY: &str = "a secret only the tests know";

/// A service with one bucket.
#[derive(Debug)]
pub struct ObjectService {
    port: u16,
    dir: TempDir,
    task: Option<JoinHandle<()>>,
}

impl ObjectService {
    pub async fn start() -> Self {
        let dir = TempDir::new().expect("a folder");
        std::fs::create_dir(dir.path().join(BUCKET)).expect("a bucket");
        let mut service = Self { port: 0, dir, task: None };
        service.come_back().await;
        service
    }

    /// Ends every connection, and takes no other.
    pub async fn go_away(&mut self) {
        if let Some(task) = self.task.take() {
            task.abort();
            let _ = task.await;
        }
    }

    /// At the address it had.
    pub async fn come_back(&mut self) {
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, self.port));
        let listener = TcpListener::bind(address).await.expect("a port");
        self.port = listener.local_addr().expect("an address").port();
        let mut builder = S3ServiceBuilder::new(FileSystem::new(self.dir.path()).expect("a folder of buckets"));
        builder.set_auth(SimpleAuth::from_single(ACCESS_KEY, SECRET_KEY));
        let service = builder.build();
        self.task = Some(tokio::spawn(async move {
            let http = Builder::new(TokioExecutor::new());
            // They end with this task.
            let mut connections = JoinSet::new();
            while let Ok((stream, _)) = listener.accept().await {
                let connection = http.serve_connection(TokioIo::new(stream), service.clone()).into_owned();
                connections.spawn(async move {
                    // Whoever goes away in the middle is nobody's trouble.
                    let _ended = connection.await;
                });
            }
        }));
    }

    #[must_use]
    pub fn endpoint(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Where the objects of the one installation lie.
    #[must_use]
    pub fn objects(&self) -> PathBuf {
        self.dir.path().join(BUCKET).join(PREFIX)
    }

    /// What a server is told to keep photographs here.
    #[must_use]
    pub fn settings(&self, machine: &Path) -> Vec<(&'static str, String)> {
        let file = |name: &str| machine.join(name).display().to_string();
        vec![
            ("HANDSEL_BLOBS", format!("s3://{BUCKET}/{PREFIX}")),
            ("HANDSEL_S3_ENDPOINT", self.endpoint()),
            ("HANDSEL_S3_ACCESS_KEY", ACCESS_KEY.to_owned()),
            ("HANDSEL_S3_SECRET_KEY", SECRET_KEY.to_owned()),
            ("HANDSEL_SPOOL", file("spool")),
            ("HANDSEL_SEAL_KEY", file("seal-key.pem")),
        ]
    }
}
