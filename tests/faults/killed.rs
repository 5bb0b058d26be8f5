//! Photographs are developed once, whatever becomes of the server meanwhile.

use crate::sync::postgres;
use handsel_tests::{Kind, MANAGER, Machine, Process, Seed, fixtures, id, segment};
use std::collections::BTreeMap;
use std::time::Duration;

const PHOTOS: usize = 40;

/// Different bytes each, so that each has to be developed.
fn pictures() -> Vec<Vec<u8>> {
    let pictures = fixtures();
    let numbered = (0..PHOTOS).zip(pictures.iter().cycle());
    numbered.map(|(n, picture)| segment(0xFE, format!("number {n}").as_bytes(), picture)).collect()
}

async fn stages(machine: &Machine) -> BTreeMap<&'static str, i64> {
    let mut counts = BTreeMap::new();
    for stage in ["waiting", "running", "done", "failed"] {
        let asked = format!("SELECT COUNT(*) FROM job WHERE kind = 'photo' AND state = '{stage}'");
        counts.insert(stage, machine.count(&asked).await);
    }
    counts
}

struct Sent {
    walk: String,
    photos: BTreeMap<String, Vec<u8>>,
}

async fn send(server: &Process, count: usize) -> Sent {
    let seed = Seed::by(server.anonymous.signed_in(MANAGER).await).await;
    let walk = seed.departure(&seed.hire("F-1").await).await.path;
    let mut photos = BTreeMap::new();
    for bytes in pictures().into_iter().take(count) {
        let photo = id();
        let path = format!("{walk}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T10:00:00Z");
        let view = seed.manager.upload(&path, "image/jpeg", &bytes).await.expect(201);
        assert_eq!(view["id"], photo.as_str());
        photos.insert(photo, bytes);
    }
    Sent { walk, photos }
}

async fn killed_in_the_middle(kind: Kind) {
    let machine = Machine::new(kind).await;
    let server = machine.serve(&[("HANDSEL_PHOTO_WORKERS", "1")]).await;
    let sent = send(&server, PHOTOS).await;
    for _ in 0..600 {
        if stages(&machine).await["done"] > 0 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    server.kill();
    let left = stages(&machine).await;
    assert!((1..PHOTOS).contains(&usize::try_from(left["done"]).unwrap()), "not in the middle: {left:?}");
    assert_eq!(left.values().sum::<i64>(), 40, "none is lost: {left:?}");

    let server = machine.serve(&[]).await;
    for _ in 0..1200 {
        if stages(&machine).await["done"] == 40 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let ended = stages(&machine).await;
    assert_eq!(ended["done"], 40, "{ended:?}, of {left:?} when it was killed");
    assert_eq!(machine.count("SELECT COUNT(*) FROM photo").await, 40);
    assert_eq!(machine.count("SELECT COUNT(*) FROM photo_fact").await, 40);
    // What was done is not done again; what was begun is begun once more.
    let begun_twice = machine.count("SELECT COUNT(*) FROM job WHERE attempts > 1").await;
    assert!(begun_twice <= left["running"], "{begun_twice} were begun again, of {left:?}");

    let manager = server.anonymous.signed_in(MANAGER).await;
    let view = manager.get(&sent.walk).await.expect(200);
    let photos = view["photos"].as_array().unwrap();
    assert_eq!(photos.len(), PHOTOS);
    for photo in photos {
        assert_eq!(photo["processing"], "done", "{photo}");
        assert!(photo["facts"]["sharpness"].as_f64().unwrap() > 0.0);
        let hash = photo["sha256"].as_str().unwrap();
        let folder = machine.photos().join(&hash[..2]);
        let mut kept: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .filter_map(|entry| entry.unwrap().file_name().to_str().unwrap().strip_prefix(hash).map(str::to_owned))
            .collect();
        kept.sort();
        assert_eq!(kept, ["", ".1600.2.jpg", ".1600.2.webp", ".2560.2.jpg", ".320.2.jpg", ".320.2.webp"]);
    }
    for (photo, bytes) in &sent.photos {
        assert_eq!(&manager.get(&format!("/photos/{photo}/original")).await.bytes, bytes);
    }
    let gauges = server.anonymous.get("//metrics").await.bytes;
    let gauges = String::from_utf8(gauges).unwrap();
    assert!(gauges.contains("handsel_jobs{kind=\"photo\",state=\"done\"} 40"), "{gauges}");
    assert!(gauges.contains("handsel_jobs{kind=\"photo\",state=\"failed\"} 0"), "{gauges}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn photographs_are_developed_once_though_the_server_is_killed_sqlite() {
    killed_in_the_middle(Kind::Sqlite).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn photographs_are_developed_once_though_the_server_is_killed_postgres() {
    if let Some(kind) = postgres() {
        killed_in_the_middle(kind).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_server_that_is_asked_to_stop_leaves_nothing_half_done() {
    let machine = Machine::new(Kind::Sqlite).await;
    let server = machine.serve(&[("HANDSEL_PHOTO_WORKERS", "1")]).await;
    let sent = send(&server, 12).await;
    server.stop().await;
    let left = stages(&machine).await;
    assert_eq!((left["running"], left["failed"]), (0, 0), "{left:?}");
    assert_eq!(left["waiting"] + left["done"], 12);

    let server = machine.serve(&[]).await;
    let manager = server.anonymous.signed_in(MANAGER).await;
    for _ in 0..600 {
        let view = manager.get(&sent.walk).await.expect(200);
        if view["photos"].as_array().unwrap().iter().all(|p| p["processing"] == "done") {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("what was left is not taken up: {:?}", stages(&machine).await);
}
