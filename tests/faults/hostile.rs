//! Files that are no photographs, or more than one: each is refused with its own code, and the server goes on.

use futures_util::future::join_all;
use handsel_tests::{Client, Kind, MANAGER, Machine, Seed, fixture, id, segment};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// The most memory the server may have held by the end, in KiB. Half of it is the program and the largest body that is
/// taken in before it is refused; decoding what the largest of these files promise would take many times as much.
const BOUND_KIB: u64 = 160 * 1024;

struct Bad {
    name: String,
    code: String,
    sent_as: String,
    bytes: Vec<u8>,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile")
}

fn all() -> Vec<Bad> {
    let list: Value = serde_json::from_slice(&fs::read(folder().join("hostile.json")).unwrap()).unwrap();
    let committed = list.as_object().unwrap().iter().map(|(name, wanted)| Bad {
        code: wanted["code"].as_str().unwrap().to_owned(),
        sent_as: wanted["sent_as"].as_str().unwrap_or("application/octet-stream").to_owned(),
        bytes: fs::read(folder().join(name)).unwrap(),
        name: name.clone(),
    });
    // Two that are too large to be kept beside the others.
    let good = fixture();
    let mut comments = good.clone();
    for _ in 0..140 {
        comments = segment(0xFE, &[0; 65_000], &comments);
    }
    let large = [
        ("comments.jpg", "photo_too_much_metadata", comments),
        ("26_mib.jpg", "photo_too_large", vec![0xFF; 26 << 20]),
    ];
    let made = large.into_iter().map(|(name, code, bytes)| Bad {
        name: name.to_owned(),
        code: code.to_owned(),
        sent_as: "image/jpeg".to_owned(),
        bytes,
    });
    committed.chain(made).collect()
}

async fn send(client: &Client, walk: &str, bad: &Bad) -> Result<(), String> {
    let path = format!("{walk}/photos/{}?of=viewpoint&key=left&taken_at=2026-03-28T10:00:00Z", id());
    let answer = client.upload(&path, &bad.sent_as, &bad.bytes).await;
    let problem: Value = serde_json::from_slice(&answer.bytes).unwrap_or_default();
    let told = problem["code"].as_str().unwrap_or_default();
    let explained = problem["detail"].as_str().is_some_and(|detail| detail.len() > 20);
    if told == bad.code && explained && (400..500).contains(&answer.status) {
        return Ok(());
    }
    Err(format!("{}: {} {problem}, and {} was wanted", bad.name, answer.status, bad.code))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_hostile_file_is_refused_with_its_code_and_the_server_goes_on() {
    let machine = Machine::new(Kind::Sqlite).await;
    let server = machine.serve(&[]).await;
    let seed = Seed::by(server.anonymous.signed_in(MANAGER).await).await;
    let walk = seed.departure(&seed.hire("F-1").await).await.path;
    let bad = all();
    assert!(bad.len() >= 30, "only {} files", bad.len());
    let mut wrong = Vec::new();
    for file in &bad {
        wrong.extend(send(&seed.manager, &walk, file).await.err());
        assert_eq!(server.anonymous.get("//healthz").await.status, 200, "after {}", file.name);
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    // All but the largest at the same time.
    let small = bad.iter().filter(|file| file.bytes.len() < 1 << 20);
    let at_once = join_all(small.map(|file| send(&seed.manager, &walk, file))).await;
    assert!(at_once.iter().all(Result::is_ok), "{at_once:?}");

    let (photo, good) = (id(), fixture());
    let path = format!("{walk}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T10:00:00Z");
    let _ = seed.manager.upload(&path, "image/jpeg", &good).await.expect(201);
    assert_eq!(seed.manager.get(&format!("/photos/{photo}?size=list")).await.status, 200);
    let view = seed.manager.get(&walk).await.expect(200);
    assert_eq!(view["photos"].as_array().unwrap().len(), 1, "nothing that was refused is kept");
    assert_eq!(server.anonymous.get("//readyz").await.status, 200);
    let peak = server.peak_kib();
    eprintln!("{} files refused; the server held at most {} MiB", bad.len(), peak / 1024);
    assert!(peak < BOUND_KIB, "{peak} KiB");
}
