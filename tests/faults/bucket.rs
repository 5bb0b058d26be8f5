//! Photographs in a bucket instead of a folder: the same, also when its service is away for a while.

use crate::backup::{fleet, send};
use crate::sync::{OnItsWay, postgres};
use handsel_documents::bundle::verify;
use handsel_tests::{Client, Kind, MANAGER, Machine, ObjectService, fixtures, id};
use serde_json::json;
use std::fs;
use std::io::Cursor;
use std::path::Path;
use std::time::Duration;

/// What is kept of a photograph.
fn kept(objects: &Path, sha256: &str) -> Vec<String> {
    let folder = fs::read_dir(objects.join(&sha256[..2])).unwrap();
    let names = folder.map(|file| file.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter_map(|name| name.strip_prefix(sha256).map(str::to_owned)).collect();
    names.sort();
    names
}

async fn developed(machine: &Machine, count: i64) {
    for _ in 0..600 {
        if machine.count("SELECT COUNT(*) FROM job WHERE kind = 'photo' AND state = 'done'").await == count {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("they are not developed");
}

async fn readiness(client: &Client) -> u16 {
    client.get("//readyz").await.status
}

async fn a_bucket_keeps(kind: Kind) {
    let service = ObjectService::start().await;
    let machine = Machine::with_bucket(kind, &service).await;
    let server = machine.serve(&[]).await;
    assert_eq!(readiness(&server.anonymous).await, 200);
    let fleet = fleet(&server).await;
    // In pieces too: they are no objects before the last has come.
    let sent = OnItsWay::begin(&fleet.walk).await;
    let (client, half) = (&fleet.walk.client, sent.bytes.len() / 2);
    assert_eq!(sent.piece(client, 0, half).await.status, 204);
    assert_eq!(sent.offset(client).await, half);
    assert_eq!(sent.piece(client, half, sent.bytes.len()).await.status, 204);
    developed(&machine, 3).await;
    for (photo, bytes) in [(&fleet.photo, &fleet.bytes), (&sent.photo, &sent.bytes)] {
        assert_eq!(&client.get(&format!("/photos/{photo}/original")).await.bytes, bytes);
    }
    let view = client.get(&fleet.walk.path).await.expect(200);
    let sha256 = view["photos"][0]["sha256"].as_str().unwrap();
    let copies = ["", ".1600.2.jpg", ".1600.2.webp", ".2560.2.jpg", ".320.2.jpg", ".320.2.webp"];
    assert_eq!(kept(&service.objects(), sha256), copies);
    // This one is made when it is first asked for.
    let zoom = client.request(reqwest::Method::GET, &format!("/photos/{}?size=zoom", sent.photo));
    let zoom = client.send(zoom.header("Accept", "image/webp")).await;
    assert_eq!((zoom.status, zoom.header("content-type")), (200, "image/webp"));
    assert_eq!(kept(&service.objects(), sha256).len(), copies.len() + 1);
    // Nobody gets in without the key.
    let object = format!("{}/handsel/of/fernway/{}/{sha256}", service.endpoint(), &sha256[..2]);
    assert_eq!(reqwest::get(&object).await.unwrap().status(), 403);
    let bundle = client.get(&format!("/hires/{}/bundle.zip", fleet.hire)).await;
    assert_eq!(verify(Cursor::new(&bundle.bytes), None).problems, []);
    server.stop().await;
    assert!(!machine.photos().exists(), "something is kept in a folder");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_bucket_keeps_what_a_folder_would_sqlite() {
    a_bucket_keeps(Kind::Sqlite).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_bucket_keeps_what_a_folder_would_postgres() {
    if let Some(kind) = postgres() {
        a_bucket_keeps(kind).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_comes_while_the_bucket_is_away_is_sent_again_and_lost_by_nobody() {
    let mut service = ObjectService::start().await;
    let machine = Machine::with_bucket(Kind::Sqlite, &service).await;
    let server = machine.serve(&[]).await;
    let fleet = fleet(&server).await;
    developed(&machine, 2).await;
    let sent = OnItsWay::begin(&fleet.walk).await;
    let client = &fleet.walk.client;
    service.go_away().await;
    assert_eq!(readiness(&server.anonymous).await, 503);
    // What needs no photograph goes on.
    let _ = fleet.walk.lid("missing").await.expect(201);
    let refused = sent.piece(client, 0, sent.bytes.len()).await.refused(500, "internal");
    assert!(!refused.to_string().contains("127.0.0.1"), "where it is kept is told to everybody: {refused}");
    // Its bytes stay where they are gathered.
    assert_eq!(fs::read_dir(machine.file("spool/uploads")).unwrap().count(), 1);
    assert_eq!(machine.count("SELECT COUNT(*) FROM photo WHERE arrived_at IS NULL").await, 1);

    service.come_back().await;
    assert_eq!(readiness(&server.anonymous).await, 200);
    assert_eq!(sent.offset(client).await, sent.bytes.len(), "asked how far it is, it is finished");
    assert_eq!(client.get(&format!("/photos/{}/original", sent.photo)).await.bytes, sent.bytes);
    send(&fleet.walk, &id(), &fixtures().swap_remove(1)).await;
    developed(&machine, 4).await;
    let view = client.get(&fleet.walk.path).await.expect(200);
    assert!(view["photos"].as_array().unwrap().iter().all(|photo| photo["arrived"] == json!(true)), "{view}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_key_opens_nothing() {
    let service = ObjectService::start().await;
    let machine = Machine::with_bucket(Kind::Sqlite, &service).await;
    let server = machine.serve(&[("HANDSEL_S3_SECRET_KEY", "another secret")]).await;
    assert_eq!(readiness(&server.anonymous).await, 503);
    let _ = server.anonymous.signed_in(MANAGER).await;
    assert!(!service.objects().exists());
}
