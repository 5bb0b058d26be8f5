//! The program itself as a process, for what a server inside the test cannot show: being killed, and its memory.

use crate::bucket::ObjectService;
use crate::client::Client;
use crate::database::{Kind, count};
use crate::world::{MANAGER, PASSWORD, SECRET};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// How long a server may take to answer: it may have to wait for the machine.
const START: u32 = 600;

/// What stays when a server ends: its database and its folder.
#[derive(Debug)]
pub struct Machine {
    pub database_url: String,
    kind: Kind,
    /// Where it keeps things.
    settings: Vec<(&'static str, String)>,
    dir: TempDir,
}

/// A running server.
#[derive(Debug)]
pub struct Process {
    pub anonymous: Client,
    child: Child,
}

impl Machine {
    pub async fn new(kind: Kind) -> Self {
        let dir = TempDir::new().expect("a folder");
        let settings = vec![("HANDSEL_BLOBS", dir.path().join("photos").display().to_string())];
        Self { database_url: kind.fresh(dir.path()).await, kind, settings, dir }
    }

    /// One that keeps photographs in a bucket.
    pub async fn with_bucket(kind: Kind, service: &ObjectService) -> Self {
        let mut machine = Self::new(kind).await;
        machine.settings = service.settings(machine.dir.path());
        machine
    }

    /// Where photographs are kept, unless in a bucket.
    #[must_use]
    pub fn photos(&self) -> PathBuf {
        self.dir.path().join("photos")
    }

    /// Something it keeps besides.
    #[must_use]
    pub fn file(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// The program, told where this machine keeps things.
    #[must_use]
    pub fn command(&self) -> Command {
        let mut command = Command::new(program());
        command.env("HANDSEL_DATABASE_URL", &self.database_url).envs(self.settings.iter().cloned());
        command
    }

    /// Starts the program, and waits until it answers.
    pub async fn serve(&self, more: &[(&str, &str)]) -> Process {
        let said = self.dir.path().join("said");
        let child = self
            .command()
            .arg("serve")
            .env("HANDSEL_JWT_SECRET", SECRET)
            .env("HANDSEL_OPERATOR_NAME", "Fernway Campers")
            .env("HANDSEL_LISTEN", "127.0.0.1:0")
            .env("HANDSEL_WORKERS", "1")
            .env("HANDSEL_LOG", "warn")
            .env("HANDSEL_FIRST_MANAGER_EMAIL", MANAGER)
            .env("HANDSEL_FIRST_MANAGER_PASSWORD", PASSWORD)
            .envs(more.iter().copied())
            .stdout(Stdio::null())
            .stderr(File::create(&said).expect("a file"))
            .spawn()
            .expect("the program");
        let mut child = Ended(Some(child));
        for _ in 0..START {
            let words = std::fs::read_to_string(&said).unwrap_or_default();
            let port = words.lines().find_map(|l| l.strip_prefix("Handsel answers on port ")?.strip_suffix('.'));
            if let Some(port) = port {
                let anonymous = Client::new(format!("http://127.0.0.1:{port}"));
                return Process { anonymous, child: child.0.take().expect("a process") };
            }
            let ended = child.0.as_mut().expect("a process").try_wait().expect("a process");
            assert!(ended.is_none(), "the server did not start: {words}");
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("the server does not answer: {}", std::fs::read_to_string(&said).unwrap_or_default());
    }

    /// The one number a statement asks for.
    pub async fn count(&self, statement: &str) -> i64 {
        count(&self.database_url, statement).await
    }
}

impl Drop for Machine {
    fn drop(&mut self) {
        self.kind.drop_apart(&self.database_url);
    }
}

impl Process {
    /// Ends it as `kill -9` does: nothing is finished, nothing is tidied.
    pub fn kill(mut self) {
        self.child.kill().expect("killed");
        let _ = self.child.wait().expect("ended");
    }

    /// Asks it to end, and waits until it has.
    pub async fn stop(mut self) {
        let asked = Command::new("kill").arg("-TERM").arg(self.child.id().to_string()).status().expect("asked");
        assert!(asked.success());
        for _ in 0..START {
            if let Some(ended) = self.child.try_wait().expect("a process") {
                assert!(ended.success(), "{ended}");
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("the server does not stop");
    }

    /// The most memory it has held so far, in KiB.
    #[must_use]
    pub fn peak_kib(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("its status");
        let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:")).expect("its peak");
        line.trim().strip_suffix("kB").expect("in kB").trim().parse().expect("a number")
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

/// Ends a process that does not come up.
struct Ended(Option<Child>);

impl Drop for Ended {
    fn drop(&mut self) {
        if let Some(child) = &mut self.0 {
            end(child);
        }
    }
}

fn end(child: &mut Child) {
    // One that has ended already needs no ending.
    if let Ok(None) = child.try_wait() {
        child.kill().expect("killed");
        let _ = child.wait();
    }
}

/// The program, built beside the tests: `cargo test --workspace` builds both.
#[must_use]
pub fn program() -> PathBuf {
    let test = std::env::current_exe().expect("this test");
    let folder = test.ancestors().nth(2).map(Path::to_owned).expect("the folder of builds");
    let program = folder.join(format!("handsel{}", std::env::consts::EXE_SUFFIX));
    assert!(program.is_file(), "{} is not built: run cargo test --workspace", program.display());
    program
}
