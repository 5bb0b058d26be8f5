//! A backup is taken while the server serves, and comes back where nothing is, whichever database it goes into.

use crate::sync::{OnItsWay, postgres};
use handsel_documents::bundle::verify;
use handsel_tests::{Kind, MANAGER, Machine, ObjectService, Process, Seed, Walker, fixtures, id, segment, vehicle};
use serde_json::{Value, json};
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tempfile::TempDir;

/// What a command says when it is done, or why it is not.
fn ran(machine: &Machine, command: &str, folder: &Path) -> Result<String, String> {
    let done = machine.command().arg(command).arg(folder).output().unwrap();
    let words = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap().trim().to_owned();
    match done.status.code() {
        Some(0) => Ok(words(done.stdout)),
        Some(2) => Err(words(done.stderr)),
        other => panic!("{other:?}: {}{}", words(done.stdout), words(done.stderr)),
    }
}

fn read(folder: &Path, name: &str) -> Value {
    serde_json::from_slice(&fs::read(folder.join(name)).unwrap()).unwrap()
}

/// A hire that went out and came back with a photograph each, signed for and sealed, and one that is being handed over.
pub(crate) struct Fleet {
    pub(crate) hire: String,
    pub(crate) walk: Walker,
    pub(crate) photo: String,
    pub(crate) bytes: Vec<u8>,
}

pub(crate) async fn send(walk: &Walker, photo: &str, bytes: &[u8]) {
    let path = format!("{}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T10:00:00Z", walk.path);
    let _ = walk.client.upload(&path, "image/jpeg", bytes).await.expect(201);
}

pub(crate) async fn fleet(server: &Process) -> Fleet {
    let seed = Seed::by(server.anonymous.signed_in(MANAGER).await).await;
    let (hire, photo, bytes) = (seed.hire("F-1").await, id(), fixtures().swap_remove(0));
    let out = seed.departure(&hire).await;
    send(&out, &photo, &bytes).await;
    out.usual_departure().await;
    out.brief("lid").await;
    out.brief("fill_up").await;
    out.both_sign().await;
    let _ = out.sign().await.expect(200);
    let back = Walker::start(&seed.manager, &hire, "return").await;
    send(&back, &id(), &fixtures().swap_remove(1)).await;
    back.usual_return().await;
    back.both_sign().await;
    let _ = back.sign().await.expect(200);
    let other = Seed { vehicle: id(), ..seed };
    let sorrel = vehicle(&other.vehicle, "TEST 2", &other.depot, &other.template, &other.tariff);
    let _ = other.manager.post("/vehicles", &sorrel).await.expect(201);
    let walk = other.departure(&other.hire("F-2").await).await;
    Fleet { hire, walk, photo, bytes }
}

/// Goes on handing over while it is asked to: answers, and photographs, each another.
async fn busy(walk: Walker, on: Arc<AtomicBool>) -> usize {
    let pictures = fixtures();
    let mut count = 0;
    while on.load(Ordering::Relaxed) {
        let _ = walk.lid("in_order").await.expect(201);
        let picture = &pictures[count % pictures.len()];
        send(&walk, &id(), &segment(0xFE, format!("number {count}").as_bytes(), picture)).await;
        count += 1;
    }
    count
}

async fn comes_back(machine: Machine, other: Machine) {
    let server = machine.serve(&[]).await;
    let fleet = fleet(&server).await;
    let sent = OnItsWay::begin(&fleet.walk).await;
    let half = sent.bytes.len() / 2;
    assert_eq!(sent.piece(&fleet.walk.client, 0, half).await.status, 204);
    let dir = TempDir::new().unwrap();
    let folder = dir.path().join("of today? 100 %");
    let on = Arc::new(AtomicBool::new(true));
    let work = tokio::spawn(busy(fleet.walk.clone(), Arc::clone(&on)));
    let taken = tokio::task::spawn_blocking({
        let folder = folder.clone();
        move || (ran(&machine, "backup", &folder), machine)
    });
    let (told, machine) = taken.await.unwrap();
    on.store(false, Ordering::Relaxed);
    let (told, count) = (told.unwrap(), work.await.unwrap());
    assert!(count > 0, "nothing was done meanwhile");
    assert!(told.contains("HANDSEL_… settings are not in it"), "{told}");
    let bundle = format!("/hires/{}/bundle.zip", fleet.hire);
    let manager = server.anonymous.signed_in(MANAGER).await;
    let evidence = manager.get(&bundle).await.bytes;
    assert_eq!(verify(Cursor::new(&evidence), None).problems, []);
    let seen = manager.get(&format!("/hires/{}", fleet.hire)).await.expect(200);
    server.stop().await;
    drop(machine);

    let told = ran(&other, "restore", &folder).unwrap();
    assert!(told.contains("are back, as they were at"), "{told}");
    let rows = read(&folder, "backup.json")["rows"].clone();
    for (table, count) in rows.as_object().unwrap() {
        let there = other.count(&format!("SELECT COUNT(*) FROM \"{table}\"")).await;
        assert_eq!(Some(there), count.as_i64(), "{table}");
    }
    assert!(rows["entry"].as_i64().unwrap() >= 4 && rows["seal"] == json!(2), "{rows}");
    let server = other.serve(&[]).await;
    let manager = server.anonymous.signed_in(MANAGER).await;
    assert_eq!(manager.get(&format!("/hires/{}", fleet.hire)).await.expect(200), seen);
    assert_eq!(manager.get(&format!("/photos/{}/original", fleet.photo)).await.bytes, fleet.bytes);
    // Every photograph that the rows speak of is there, also of those that came while the backup was taken.
    let view = manager.get(&fleet.walk.path).await.expect(200);
    for photo in view["photos"].as_array().unwrap().iter().filter(|photo| photo["id"] != sent.photo.as_str()) {
        let path = format!("/photos/{}/original", photo["id"].as_str().unwrap());
        assert_eq!(manager.get(&path).await.status, 200, "{photo}");
    }
    // The evidence is the same to the byte, signatures and all: the key came back too.
    assert!(manager.get(&bundle).await.bytes == evidence, "another bundle");
    // And work goes on: a device sends what was under way from its beginning, and more.
    assert_eq!(sent.offset(&manager).await, 0);
    assert_eq!(sent.piece(&manager, 0, sent.bytes.len()).await.status, 204);
    assert_eq!(manager.get(&format!("/photos/{}/original", sent.photo)).await.bytes, sent.bytes);
    let walk = Walker { client: manager, ..fleet.walk };
    let _ = walk.lid("missing").await.expect(201);
    send(&walk, &id(), &fleet.bytes).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_comes_back_on_sqlite() {
    comes_back(Machine::new(Kind::Sqlite).await, Machine::new(Kind::Sqlite).await).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_comes_back_from_a_folder_in_a_bucket_and_from_there_in_a_folder() {
    let service = ObjectService::start().await;
    let bucket = || Machine::with_bucket(Kind::Sqlite, &service);
    comes_back(Machine::new(Kind::Sqlite).await, bucket().await).await;
    std::fs::remove_dir_all(service.objects()).unwrap();
    comes_back(bucket().await, Machine::new(Kind::Sqlite).await).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_comes_back_from_either_database_on_the_other() {
    if let Some(postgres) = postgres() {
        comes_back(Machine::new(Kind::Sqlite).await, Machine::new(postgres.clone()).await).await;
        comes_back(Machine::new(postgres).await, Machine::new(Kind::Sqlite).await).await;
    }
}

/// A backup of a small fleet, and the machine it was taken on.
async fn backup(dir: &Path) -> (Machine, PathBuf) {
    let machine = Machine::new(Kind::Sqlite).await;
    let server = machine.serve(&[]).await;
    let _ = fleet(&server).await;
    server.stop().await;
    let folder = dir.join("backup");
    let _ = ran(&machine, "backup", &folder).unwrap();
    (machine, folder)
}

/// Some photograph of a folder of photographs, an original.
fn original(photos: &Path) -> PathBuf {
    let folders = fs::read_dir(photos).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_dir());
    let mut files = folders.flat_map(|f| fs::read_dir(f).unwrap().map(|e| e.unwrap().path()));
    files.find(|file| file.file_name().unwrap().len() == 64).unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_is_overwritten() {
    let dir = TempDir::new().unwrap();
    let (machine, folder) = backup(dir.path()).await;
    let before = machine.count("SELECT COUNT(*) FROM hire").await;
    let told = ran(&machine, "backup", &folder).unwrap_err();
    assert!(told.contains("it is not empty"), "{told}");
    let told = ran(&machine, "restore", &folder).unwrap_err();
    assert!(told.contains("2 of hire") && told.contains("HANDSEL_DATABASE_URL"), "{told}");
    assert_eq!(machine.count("SELECT COUNT(*) FROM hire").await, before);

    // Photographs of somebody else's.
    let other = Machine::new(Kind::Sqlite).await;
    let name = "ab".repeat(32);
    fs::create_dir_all(other.photos().join("ab")).unwrap();
    fs::write(other.photos().join("ab").join(&name), "another picture").unwrap();
    let told = ran(&other, "restore", &folder).unwrap_err();
    assert!(told.contains("1 photographs are there that the backup does not have"), "{told}");
    fs::remove_file(other.photos().join("ab").join(&name)).unwrap();

    // One of the backup's own that is damaged there.
    let photo = original(&folder.join("photos"));
    let name = photo.file_name().unwrap().to_str().unwrap().to_owned();
    fs::create_dir_all(other.photos().join(&name[..2])).unwrap();
    fs::write(other.photos().join(&name[..2]).join(&name), "half a pict").unwrap();
    let told = ran(&other, "restore", &folder).unwrap_err();
    assert!(told.contains(&format!("{name} is there with other bytes")), "{told}");
    fs::remove_file(other.photos().join(&name[..2]).join(&name)).unwrap();

    // Another key.
    fs::write(other.photos().join("seal-key.pem"), "another key").unwrap();
    let told = ran(&other, "restore", &folder).unwrap_err();
    assert!(told.contains("another key is there"), "{told}");
    assert_eq!(fs::read_to_string(other.photos().join("seal-key.pem")).unwrap(), "another key");
    fs::remove_file(other.photos().join("seal-key.pem")).unwrap();
    let _ = ran(&other, "restore", &folder).unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_not_whole_is_not_put_back() {
    let dir = TempDir::new().unwrap();
    let (machine, folder) = backup(dir.path()).await;
    let other = Machine::new(Kind::Sqlite).await;
    let refused = |part: &str| {
        let told = ran(&other, "restore", &folder).unwrap_err();
        assert!(told.contains(part), "{told}");
        assert!(!other.photos().join("seal-key.pem").exists(), "something was written");
    };
    let changed = |file: &Path, part: &str| {
        let bytes = fs::read(file).unwrap();
        let mut other = bytes.clone();
        *other.last_mut().unwrap() ^= 1;
        fs::write(file, other).unwrap();
        refused(part);
        fs::write(file, bytes).unwrap();
    };
    let photo = original(&folder.join("photos"));
    let name = photo.file_name().unwrap().to_str().unwrap().to_owned();
    changed(&folder.join("handsel.db"), "handsel.db: it is no longer as it was");
    changed(&folder.join("seal-key.pem"), "seal-key.pem: it is no longer as it was");
    changed(&photo, &format!("{name}: it is no longer as it was"));
    let bytes = fs::read(&photo).unwrap();
    fs::remove_file(&photo).unwrap();
    refused(&format!("{name}: it is not there"));
    fs::write(&photo, bytes).unwrap();

    let manifest = folder.join("backup.json");
    let text = fs::read_to_string(&manifest).unwrap();
    fs::write(&manifest, text.replace("handsel-backup-1", "handsel-backup-9")).unwrap();
    refused("its format is `handsel-backup-9`");
    let schema = read(&folder, "backup.json")["schema"].as_str().unwrap().to_owned();
    fs::write(&manifest, text.replace(&schema, "m9999_later")).unwrap();
    refused("the schema m9999_later, which this program does not know");
    fs::write(&manifest, text.replacen(&name, "../../hirers", 1)).unwrap();
    refused("`../../hirers` is no photograph's name");
    fs::remove_file(&manifest).unwrap();
    refused("this is no backup, or taking it broke off");
    fs::write(&manifest, text).unwrap();
    let _ = ran(&other, "restore", &folder).unwrap();

    // A photograph that was damaged where it is kept is told of, and does not keep the others from being saved.
    let kept = machine.photos().join(&name[..2]).join(&name);
    fs::write(&kept, "half a pict").unwrap();
    let told = ran(&machine, "backup", &dir.path().join("again")).unwrap_err();
    assert!(told.contains("1 photographs are damaged") && told.contains(&name), "{told}");
    assert!(dir.path().join("again/backup.json").exists());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_is_made_where_nothing_is() {
    let dir = TempDir::new().unwrap();
    let machine = Machine::new(Kind::Sqlite).await;
    let told = ran(&machine, "backup", &dir.path().join("backup")).unwrap_err();
    assert!(told.contains("the database cannot be read"), "{told}");
    assert!(!dir.path().join("backup").exists() && !machine.photos().exists());
    let told = machine.command().env_remove("HANDSEL_BLOBS").arg("backup").arg(dir.path()).output().unwrap();
    let told = String::from_utf8(told.stderr).unwrap();
    assert!(told.contains("HANDSEL_BLOBS is not set") && !told.contains("HANDSEL_JWT_SECRET"), "{told}");
}
