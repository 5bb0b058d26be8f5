//! A server that is killed while devices send: nothing is half done, and what is sent again is done once.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use handsel_tests::{Answer, Client, Kind, MANAGER, Machine, Seed, Walker, fixture, id};
use reqwest::Method;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::time::Duration;
use tokio::io::AsyncWriteExt;
use tokio::net::TcpStream;

const OPERATIONS: usize = 300;

/// Answers and damage by turns; a mark refers to nothing that could be missing.
fn recorded(inspection: &str) -> Vec<Value> {
    let deed = |n: usize| {
        if n.is_multiple_of(2) {
            let answer = json!({"kind": "count", "pieces": n});
            json!({"kind": "entry", "id": id(), "input": {"checkpoint": "hose", "answer": answer}})
        } else {
            let input = json!({"panel": "side_left", "kind": "scratch", "size_mm": n, "depth": "surface",
                "viewpoint": "left", "x": "0.5", "y": "0.5"});
            json!({"kind": "mark", "id": id(), "input": input})
        }
    };
    (1..=OPERATIONS)
        .map(|n| {
            json!({"id": id(), "sequence": n, "done_at": "2026-03-28T10:00:00Z", "inspection": inspection, "deed": deed(n)})
        })
        .collect()
}

fn body(device: &str, operations: &[Value]) -> Value {
    json!({"device": device, "operations": operations})
}

async fn killed_while_operations_come(kind: Kind) {
    let machine = Machine::new(kind).await;
    let mut server = machine.serve(&[]).await;
    let seed = Seed::by(server.anonymous.signed_in(MANAGER).await).await;
    let walk = seed.departure(&seed.hire("F-1").await).await;
    let (device, all) = (id(), recorded(&walk.inspection));
    let mut cut = Vec::new();
    for round in 1..=5_usize {
        let client = server.anonymous.signed_in(MANAGER).await;
        let (sent, to) = (all.clone(), device.clone());
        let sending = tokio::spawn(async move {
            for batch in sent.chunks(50) {
                // The killed server does not answer; the device would try again.
                if client.request(Method::POST, "/operations").json(&body(&to, batch)).send().await.is_err() {
                    return;
                }
            }
        });
        let until = i64::try_from(round * 47).unwrap();
        for _ in 0..3000 {
            if machine.count("SELECT COUNT(*) FROM operation").await >= until {
                break;
            }
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        server.kill();
        sending.await.unwrap();
        let handled = machine.count("SELECT COUNT(*) FROM operation").await;
        let changed = machine.count("SELECT (SELECT COUNT(*) FROM entry) + (SELECT COUNT(*) FROM mark)").await;
        assert_eq!(handled, changed, "what is handled and what is changed were written together");
        assert_eq!(handled, machine.count("SELECT handled FROM device").await);
        assert!(handled >= until, "{handled} of {until}");
        cut.push(handled);
        server = machine.serve(&[]).await;
    }
    assert!(cut.iter().any(|handled| handled % 50 != 0), "never in the middle of a request: {cut:?}");
    let client = server.anonymous.signed_in(MANAGER).await;
    let mut fates = Vec::new();
    for batch in all.chunks(100) {
        let told = client.post("/operations", &body(&device, batch)).await.expect(200);
        fates.extend(told["outcomes"].as_array().unwrap().iter().map(|o| o["outcome"].as_str().unwrap().to_owned()));
    }
    let before = usize::try_from(*cut.last().unwrap()).unwrap();
    assert!(fates[..before].iter().all(|fate| fate == "already_applied"), "{fates:?}");
    assert!(fates[before..].iter().all(|fate| fate == "applied"), "{fates:?}");
    let view = client.get(&walk.path).await.expect(200);
    let ids = |list: &str| -> Vec<Value> { view[list].as_array().unwrap().iter().map(|x| x["id"].clone()).collect() };
    let wanted = |kind: &str| -> Vec<Value> {
        all.iter().filter(|o| o["deed"]["kind"] == kind).map(|o| o["deed"]["id"].clone()).collect()
    };
    assert_eq!(ids("entries"), wanted("entry"), "each once, in the device's order");
    assert_eq!(ids("marks").len(), wanted("mark").len());
    eprintln!("killed after {cut:?} of {OPERATIONS} operations");
}

/// Sends the head of a piece and only the beginning of its bytes, and leaves the connection open.
async fn half_a_piece(client: &Client, at: &str, offset: usize, piece: &[u8], sent: usize) -> TcpStream {
    let request = client.request(Method::PATCH, at).build().unwrap();
    let (host, port) = (request.url().host_str().unwrap(), request.url().port().unwrap());
    let mut connection = TcpStream::connect((host, port)).await.unwrap();
    let head = format!(
        "PATCH {} HTTP/1.1\r\nHost: {host}:{port}\r\nAuthorization: {}\r\nTus-Resumable: 1.0.0\r\nUpload-Offset: {offset}\r\n\
         Content-Type: application/offset+octet-stream\r\nContent-Length: {}\r\n\r\n",
        request.url().path(),
        request.headers()["authorization"].to_str().unwrap(),
        piece.len(),
    );
    connection.write_all(head.as_bytes()).await.unwrap();
    connection.write_all(&piece[..sent]).await.unwrap();
    connection.flush().await.unwrap();
    connection
}

async fn wait_for(machine: &Machine, length: u64) {
    let came = || {
        let there = std::fs::read_dir(machine.photos().join("uploads")).unwrap();
        there.map(|file| file.unwrap().metadata().unwrap().len()).any(|have| have >= length)
    };
    for _ in 0..600 {
        if came() {
            return;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    assert!(came(), "the bytes do not come");
}

fn tus(client: &Client, method: Method, path: &str) -> reqwest::RequestBuilder {
    client.request(method, path).header("Tus-Resumable", "1.0.0")
}

/// A photograph that a device has told of and begins to send.
pub(crate) struct OnItsWay {
    pub(crate) photo: String,
    pub(crate) bytes: Vec<u8>,
    at: String,
}

impl OnItsWay {
    pub(crate) async fn begin(walk: &Walker) -> Self {
        let (client, photo, bytes) = (&walk.client, id(), fixture());
        let deed = json!({"kind": "photo", "id": photo, "subject": {"of": "viewpoint", "viewpoint": "left"},
            "taken_at": "2026-03-28T10:00:00Z", "sha256": hex::encode(Sha256::digest(&bytes)), "bytes": bytes.len(),
            "width": 64, "height": 64, "content_type": "image/jpeg"});
        let told = json!({"id": id(), "sequence": 1, "done_at": "2026-03-28T10:00:00Z", "inspection": walk.inspection, "deed": deed});
        let taken = client.post("/operations", &body(&id(), &[told])).await.expect(200);
        assert_eq!(taken["outcomes"][0]["outcome"], "applied", "{taken}");
        let named = format!("photo {}", STANDARD.encode(&photo));
        let begun =
            tus(client, Method::POST, "/uploads").header("Upload-Length", bytes.len()).header("Upload-Metadata", named);
        let begun = client.send(begun).await;
        let _ = begun.expect(201);
        let at = begun.header("location").strip_prefix("/api/v1").unwrap().to_owned();
        Self { photo, bytes, at }
    }

    /// Where the server is with it.
    pub(crate) async fn offset(&self, client: &Client) -> usize {
        let asked = client.send(tus(client, Method::HEAD, &self.at)).await;
        assert_eq!(asked.status, 200, "{asked:?}");
        asked.header("upload-offset").parse().unwrap()
    }

    /// Sends what is between two places.
    pub(crate) async fn piece(&self, client: &Client, from: usize, to: usize) -> Answer {
        let request = tus(client, Method::PATCH, &self.at)
            .header("Upload-Offset", from)
            .header("Content-Type", "application/offset+octet-stream");
        client.send(request.body(self.bytes[from..to].to_vec())).await
    }
}

async fn killed_while_a_photograph_comes(kind: Kind) {
    let machine = Machine::new(kind).await;
    let server = machine.serve(&[]).await;
    let seed = Seed::by(server.anonymous.signed_in(MANAGER).await).await;
    let walk = seed.departure(&seed.hire("F-1").await).await;
    let sent = OnItsWay::begin(&walk).await;
    let OnItsWay { photo, bytes, at } = &sent;

    let third = bytes.len() / 3;
    let connection = half_a_piece(&seed.manager, at, 0, bytes, third).await;
    wait_for(&machine, u64::try_from(third).unwrap()).await;
    server.kill();
    drop(connection);

    let server = machine.serve(&[]).await;
    let client = server.anonymous.signed_in(MANAGER).await;
    assert_eq!(sent.offset(&client).await, third, "what came stays");
    // A connection that the telephone lost without a word: the next one takes over.
    let lost = half_a_piece(&client, at, third, &bytes[third..], third).await;
    wait_for(&machine, u64::try_from(2 * third).unwrap()).await;
    let _ = sent.piece(&client, third, bytes.len()).await.refused(409, "upload_offset");
    let last = sent.piece(&client, 2 * third, bytes.len()).await;
    assert_eq!((last.status, last.header("handsel-photo")), (204, "arrived"), "{last:?}");
    drop(lost);
    assert_eq!(client.get(&format!("/photos/{photo}/original")).await.bytes, bytes.as_slice());
    let view = client.get(&walk.path).await.expect(200);
    assert_eq!((view["photos"].as_array().unwrap().len(), &view["photos"][0]["arrived"]), (1, &json!(true)));
    assert_eq!(machine.count("SELECT COUNT(*) FROM job WHERE kind = 'photo'").await, 1);
    assert_eq!(std::fs::read_dir(machine.photos().join("uploads")).unwrap().count(), 0);
}

pub(crate) fn postgres() -> Option<Kind> {
    let kind = Kind::postgres();
    if kind.is_none() {
        // Where everything is to be run, a database left out is a failure, not a pass.
        assert!(std::env::var_os("CI").is_none(), "HANDSEL_TEST_POSTGRES is not set");
        eprintln!("HANDSEL_TEST_POSTGRES is not set: not run on PostgreSQL");
    }
    kind
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn operations_are_done_once_though_the_server_is_killed_sqlite() {
    killed_while_operations_come(Kind::Sqlite).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn operations_are_done_once_though_the_server_is_killed_postgres() {
    if let Some(kind) = postgres() {
        killed_while_operations_come(kind).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_photograph_goes_on_where_it_was_though_the_server_is_killed_sqlite() {
    killed_while_a_photograph_comes(Kind::Sqlite).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_photograph_goes_on_where_it_was_though_the_server_is_killed_postgres() {
    if let Some(kind) = postgres() {
        killed_while_a_photograph_comes(kind).await;
    }
}
