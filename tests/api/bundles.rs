//! The evidence bundle: checked with OpenSSL and sha256sum as its own README says, and by `handsel verify`, which must
//! notice every byte that is changed.

use handsel_documents::bundle::verify;
use handsel_tests::{Kind, Seed, Walker, World, fixture, id, money, on_each_database, program};
use serde_json::json;
use std::io::{Cursor, Read, Write};
use std::process::Command;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// A hire with photographs, a decision, money, a dispute and an addendum; and its bundle.
async fn bundle(world: &World) -> (Seed, String, Vec<u8>) {
    let seed = Seed::plant(world).await;
    let hire = seed.hire("F-1").await;
    let walk = seed.departure(&hire).await;
    let place = |walk: &Walker, photo: &str| {
        format!("{}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T13:30:00Z", walk.path)
    };
    let _ = walk.client.upload(&place(&walk, &id()), "image/jpeg", &fixture()).await.expect(201);
    walk.usual_departure().await;
    // Answered twice: the record keeps both, the case the last.
    let _ = walk.fuel(7).await.expect(201);
    let _ = walk.fuel(8).await.expect(201);
    walk.brief("lid").await;
    walk.brief("fill_up").await;
    walk.both_sign().await;
    let _ = walk.sign().await.expect(200);
    let added = json!({"words": "The spare key is in the drawer."});
    let _ = walk.client.put(&format!("{}/addenda/{}", walk.path, id()), &added).await.expect(201);
    world.clock.set("2026-04-04T12:30:00Z");
    let back = Walker::start(&seed.manager, &hire, "return").await;
    let _ = back.client.upload(&place(&back, &id()), "image/jpeg", &handsel_tests::jpeg(640, 480)).await.expect(201);
    back.usual_return().await;
    back.both_sign().await;
    let _ = back.sign().await.expect(200);
    let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(50_000)});
    let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &hold).await.expect(200);
    let _ = seed.accept(&hire, "distance").await;
    let bytes = seed.manager.get(&format!("/hires/{hire}/bundle.zip")).await;
    assert_eq!((bytes.status, bytes.header("content-type")), (200, "application/zip"));
    (seed, hire, bytes.bytes.to_vec())
}

/// Its files, in order.
fn unpacked(bundle: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = ZipArchive::new(Cursor::new(bundle)).unwrap();
    (0..zip.len())
        .map(|index| {
            let mut file = zip.by_index(index).unwrap();
            let mut bytes = Vec::new();
            let _ = file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

fn packed(files: &[(String, Vec<u8>)]) -> Cursor<Vec<u8>> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        // Unpacked, as packing is not what is tried here.
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        zip.start_file(name, options).unwrap();
        zip.write_all(bytes).unwrap();
    }
    let mut packed = zip.finish().unwrap();
    packed.set_position(0);
    packed
}

on_each_database! {
    async fn a_bundle_holds_and_is_the_same_bytes_each_time(world: World) {
        let (seed, hire, bytes) = bundle(&world).await;
        let verdict = verify(Cursor::new(&bytes), None);
        assert_eq!(verdict.problems, []);
        assert_eq!((verdict.seals, verdict.lines), (2, 2));
        let again = seed.manager.get(&format!("/hires/{hire}/bundle.zip")).await;
        assert!(again.bytes == bytes, "made twice, other bytes");
        let key = verdict.key_id.unwrap();
        assert_eq!(verify(Cursor::new(&bytes), Some(&key)).problems, []);
        let other = verify(Cursor::new(&bytes), Some(&"0".repeat(64)));
        assert_eq!(other.problems.iter().map(|p| p.file.as_str()).collect::<Vec<_>>(), ["key.pem"]);
        // Settled and disputed, it still adds up.
        let capture = json!({"id": id(), "kind": "captured", "means": "card", "amount": money(15_000)});
        let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &capture).await.expect(200);
        let later = seed.manager.get(&format!("/hires/{hire}/bundle.zip")).await;
        assert_eq!(verify(Cursor::new(&later.bytes), None).problems, []);
        let desk = seed.staff(&world, "dora", "desk").await;
        let _ = desk.get(&format!("/hires/{hire}/bundle.zip")).await.refused(403, "forbidden");
    }

    /// Somebody who has the key to no seal makes a whole new list and signs it with a key of their own: the charges
    /// must still come out of the case, and the case out of the sealed records.
    async fn a_forged_case_does_not_pass_even_with_a_list_of_its_own(world: World) {
        use ed25519_dalek::pkcs8::EncodePublicKey;
        use ed25519_dalek::{Signer, SigningKey};
        use handsel_documents::bundle::Writer;
        let (_, _, bytes) = bundle(&world).await;
        let forger = SigningKey::from_bytes(&[9; 32]);
        let forge = |change: &dyn Fn(&str, Vec<u8>) -> Vec<u8>| {
            let mut writer = Writer::new(Cursor::new(Vec::new()));
            for (name, bytes) in unpacked(&bytes) {
                if !name.starts_with("SHA256SUMS") {
                    let bytes = if name == "key.pem" {
                        forger.verifying_key().to_public_key_pem(Default::default()).unwrap().into_bytes()
                    } else {
                        change(&name, bytes)
                    };
                    writer.add(&name, &bytes).unwrap();
                }
            }
            writer.finish(|list| forger.sign(list).to_bytes()).unwrap().into_inner()
        };
        let untouched = forge(&|_, bytes| bytes);
        assert_eq!(verify(Cursor::new(&untouched), None).problems, [], "only the operator can say whose key it is");
        let swap = |name: &'static str, from: &'static str, to: &'static str| {
            forge(&move |file, bytes| {
                if file != name {
                    return bytes;
                }
                let text = String::from_utf8(bytes).unwrap();
                assert!(text.contains(from), "{from} in {name}");
                text.replacen(from, to, 1).into_bytes()
            })
        };
        for (name, from, to) in [
            ("comparison.json", "\"minor\": 15000", "\"minor\": 25000"),
            ("statement.json", "\"minor\": 15000", "\"minor\": 25000"),
            ("case.json", "\"11900\"", "\"13900\""),
            ("case.json", "2026-03-28T13:51:00Z", "2026-03-28T13:52:00Z"),
        ] {
            let verdict = verify(Cursor::new(swap(name, from, to)), None);
            assert!(verdict.problems.iter().any(|p| p.file == name), "{name} {from}: {:?}", verdict.problems);
        }
        let seal = "inspections/departure/seal.json";
        let verdict = verify(Cursor::new(swap(seal, "2026", "2025")), None);
        assert!(verdict.problems.iter().any(|p| p.file.ends_with("seal.sig")), "{:?}", verdict.problems);
    }

    /// The commands of the README, run as they stand there. Outside: OpenSSL and coreutils.
    async fn the_readmes_own_commands_check_it(world: World) {
        let (_, _, bytes) = bundle(&world).await;
        let folder = tempfile::tempdir().unwrap();
        ZipArchive::new(Cursor::new(&bytes)).unwrap().extract(folder.path()).unwrap();
        let readme = std::fs::read_to_string(folder.path().join("README.txt")).unwrap();
        let commands: Vec<&str> = readme.lines().filter_map(|l| l.strip_prefix("    ").filter(|c| !c.starts_with(' '))).collect();
        assert!(commands.len() >= 5, "{readme}");
        let run = |command: &str| {
            let done = Command::new("sh").args(["-c", command]).current_dir(folder.path()).output().unwrap();
            (done.status.success(), String::from_utf8_lossy(&done.stdout).into_owned())
        };
        for command in &commands {
            let (holds, said) = run(command);
            assert!(holds, "{command}: {said}");
        }
        let verdict = verify(Cursor::new(&bytes), None);
        let (_, key) = run(commands.last().unwrap());
        assert_eq!(key.split_whitespace().next(), verdict.key_id.as_deref());
        // And they notice.
        for file in ["case.json", "inspections/return/seal.json"] {
            let path = folder.path().join(file);
            let mut changed = std::fs::read(&path).unwrap();
            let middle = changed.len() / 2;
            changed[middle] ^= 1;
            std::fs::write(&path, changed).unwrap();
        }
        assert!(!run(commands[0]).0, "sha256sum");
        let seal = commands.iter().find(|c| c.contains("return/seal.json")).unwrap();
        assert!(!run(seal).0, "openssl");
    }
}

/// Every file, each at up to 12 places spread over it, with one bit changed: what is wrong is found, and the file
/// named.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_changed_byte_anywhere_is_found_and_its_file_named() {
    let world = World::start(Kind::Sqlite).await;
    let (_, _, bytes) = bundle(&world).await;
    let files = unpacked(&bytes);
    assert!(files.len() > 18, "{}", files.len());
    let mut tried = 0;
    for index in 0..files.len() {
        let length = files[index].1.len();
        let places = (length - 1) / 12 + 1;
        for place in (0..length).step_by(places).chain([length - 1]) {
            let mut changed = files.clone();
            changed[index].1[place] ^= 1 << (place % 8);
            let verdict = verify(packed(&changed), None);
            let named = verdict.problems.iter().any(|p| p.file == files[index].0);
            assert!(named, "{} at {place}: {:?}", files[index].0, verdict.problems);
            tried += 1;
        }
    }
    assert!(tried > 200, "{tried}");
    // Also a file that is missing, and one too many.
    for index in 0..files.len() {
        let mut fewer = files.clone();
        let (name, _) = fewer.remove(index);
        let verdict = verify(packed(&fewer), None);
        assert!(verdict.problems.iter().any(|p| p.file == name), "{name}: {:?}", verdict.problems);
    }
    let mut more = files.clone();
    more.push(("photos/another.jpg".to_owned(), fixture()));
    assert_eq!(verify(packed(&more), None).problems[0].file, "photos/another.jpg");
}

/// The program itself: an untouched bundle passes, one changed byte in any file makes it fail and name that file.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_program_passes_a_bundle_and_names_each_file_that_was_changed() {
    let world = World::start(Kind::Sqlite).await;
    let (_, _, bytes) = bundle(&world).await;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bundle.zip");
    let check = |bytes: &[u8], more: &[&str]| {
        std::fs::write(&path, bytes).unwrap();
        let told = Command::new(program()).arg("verify").arg(&path).args(more).output().unwrap();
        (told.status.code(), String::from_utf8_lossy(&[told.stdout, told.stderr].concat()).into_owned())
    };
    let (code, words) = check(&bytes, &[]);
    assert!(code == Some(0) && words.contains("Everything holds"), "{code:?} {words}");
    // Another operator's key is not the one it was signed with.
    let (code, words) = check(&bytes, &["--key", &"0".repeat(64)]);
    assert!(code == Some(2), "{code:?} {words}");
    let files = unpacked(&bytes);
    for index in 0..files.len() {
        let mut changed = files.clone();
        let (name, content) = &mut changed[index];
        let name = name.clone();
        let middle = content.len() / 2;
        content[middle] ^= 1;
        let (code, words) = check(packed(&changed).get_ref(), &[]);
        assert!(code == Some(2) && words.contains(&name), "{name}: {code:?} {words}");
    }
    let (code, words) = check(&bytes[..bytes.len() / 2], &[]);
    assert_eq!(code, Some(2), "{words}");
}
