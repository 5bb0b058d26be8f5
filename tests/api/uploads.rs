//! Photographs that are told of first and arrive in pieces, as far as the connection lets them.

use crate::operations::{Device, fates};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use futures_util::future::join_all;
use handsel_tests::{Answer, Client, Seed, World, id, jpeg, on_each_database};
use reqwest::Method;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

pub(crate) fn announce(photo: &str, bytes: &[u8]) -> Value {
    json!({
        "kind": "photo", "id": photo, "subject": {"of": "viewpoint", "viewpoint": "left"},
        "taken_at": "2026-03-28T13:39:00Z", "sha256": hex::encode(Sha256::digest(bytes)), "bytes": bytes.len(),
        "width": 64, "height": 32, "content_type": "image/jpeg",
    })
}

async fn begin(client: &Client, photo: &str, length: usize) -> Answer {
    let named = format!("filename eA==,photo {}", STANDARD.encode(photo));
    let request = client.request(Method::POST, "/uploads").header("Tus-Resumable", "1.0.0");
    client.send(request.header("Upload-Length", length.to_string()).header("Upload-Metadata", named)).await
}

/// Where the pieces go, as a path of version 1.
pub(crate) async fn begun(client: &Client, photo: &str, length: usize) -> String {
    let answer = begin(client, photo, length).await;
    assert_eq!((answer.status, answer.header("upload-offset")), (201, "0"), "{answer:?}");
    answer.header("location").strip_prefix("/api/v1").unwrap().to_owned()
}

pub(crate) async fn add(client: &Client, at: &str, offset: usize, piece: &[u8]) -> Answer {
    let request = client.request(Method::PATCH, at).header("Tus-Resumable", "1.0.0");
    let request = request.header("Upload-Offset", offset.to_string());
    client.send(request.header("Content-Type", "application/offset+octet-stream").body(piece.to_vec())).await
}

pub(crate) async fn ask(client: &Client, at: &str) -> Answer {
    client.send(client.request(Method::HEAD, at).header("Tus-Resumable", "1.0.0")).await
}

#[track_caller]
fn is_at(answer: &Answer, status: u16, offset: usize) {
    let told = (answer.status, answer.header("upload-offset").to_owned());
    assert_eq!(told, (status, offset.to_string()), "{}", String::from_utf8_lossy(&answer.bytes));
}

async fn announced(world: &World, bytes: &[u8]) -> (Seed, Device, String, String) {
    announced_as(world, bytes, 64, 32).await
}

async fn announced_as(world: &World, bytes: &[u8], width: u32, height: u32) -> (Seed, Device, String, String) {
    let seed = Seed::plant(world).await;
    let walk = seed.departure(&seed.hire("F-1").await).await;
    let mut device = Device::new(&seed.manager, &walk.inspection);
    let photo = id();
    let mut deed = announce(&photo, bytes);
    (deed["width"], deed["height"]) = (width.into(), height.into());
    assert_eq!(device.does(deed).await["outcome"], "applied");
    (seed, device, photo, walk.path)
}

on_each_database! {
    async fn a_photograph_arrives_in_pieces(world: World) {
        let bytes = jpeg(64, 32);
        let (seed, mut device, photo, walk) = announced(&world, &bytes).await;
        let _ = seed.manager.get(&format!("/photos/{photo}")).await.refused(409, "photo_awaited");
        // An answer may refer to it before it is here.
        let entry = json!({"checkpoint": "hob_lid", "answer": {"kind": "condition", "state": "in_order"}, "photos": [photo]});
        let entry = device.does(json!({"kind": "entry", "id": id(), "input": entry})).await;
        assert_eq!(entry["outcome"], "applied", "{entry}");

        let at = begun(&seed.manager, &photo, bytes.len()).await;
        is_at(&add(&seed.manager, &at, 0, &bytes[..100]).await, 204, 100);
        // The answer to a piece was lost: it is told how far it is.
        let late = add(&seed.manager, &at, 0, &bytes[..100]).await;
        assert_eq!(late.refused(409, "upload_offset")["offset"], 100);
        assert_eq!(late.header("tus-resumable"), "1.0.0");
        let asked = ask(&seed.manager, &at).await;
        is_at(&asked, 200, 100);
        assert_eq!((asked.header("upload-length"), asked.header("handsel-photo")), (bytes.len().to_string().as_str(), "awaited"));
        assert_eq!(asked.header("upload-expires"), "Sat, 04 Apr 2026 10:00:00 GMT");
        let beyond = [&bytes[100..], b"more"].concat();
        let _ = add(&seed.manager, &at, 100, &beyond).await.refused(413, "body_too_large");
        let rest = ask(&seed.manager, &at).await.header("upload-offset").parse::<usize>().unwrap();
        let last = add(&seed.manager, &at, rest, &bytes[rest..]).await;
        is_at(&last, 204, bytes.len());
        assert_eq!(last.header("handsel-photo"), "arrived");

        let view = seed.manager.get(&walk).await.expect(200);
        assert_eq!((&view["photos"][0]["arrived"], &view["photos"][0]["width"]), (&json!(true), &json!(64)));
        let original = seed.manager.get(&format!("/photos/{photo}/original")).await;
        assert_eq!(original.bytes, bytes);
        assert_eq!(seed.manager.get(&format!("/photos/{photo}?size=list")).await.status, 200);

        // Whatever is sent again ends well.
        is_at(&add(&seed.manager, &at, rest, &bytes[rest..]).await, 204, bytes.len());
        let again = begin(&seed.manager, &photo, bytes.len()).await;
        assert_eq!((again.status, again.header("handsel-photo")), (200, "arrived"));
        is_at(&again, 200, bytes.len());
        let at = again.header("location").strip_prefix("/api/v1").unwrap().to_owned();
        is_at(&ask(&seed.manager, &at).await, 200, bytes.len());
        is_at(&add(&seed.manager, &at, 0, &bytes).await, 204, bytes.len());
        let left = std::fs::read_dir(world.folder().join("photos/uploads")).unwrap().count();
        assert_eq!(left, 0, "nothing is left of the pieces");
    }

    async fn asked_while_another_connection_finishes_it_an_upload_has_arrived(world: World) {
        let bytes = jpeg(1600, 1200);
        let (seed, _, photo, _) = announced_as(&world, &bytes, 1600, 1200).await;
        let at = begun(&seed.manager, &photo, bytes.len()).await;
        is_at(&add(&seed.manager, &at, 0, &bytes[..10]).await, 204, 10);
        // The last piece, sent again after a lost connection, and questions how far it is: none of them meets a part
        // that another has just made a photograph of.
        let (last, again) = (add(&seed.manager, &at, 10, &bytes[10..]), add(&seed.manager, &at, 10, &bytes[10..]));
        let asked = join_all((0..6).map(|_| ask(&seed.manager, &at)));
        let (last, again, asked) = tokio::join!(last, again, asked);
        for answer in [&last, &again].into_iter().chain(&asked) {
            assert!([200, 204, 400, 409].contains(&answer.status), "{answer:?}");
        }
        is_at(&ask(&seed.manager, &at).await, 200, bytes.len());
    }

    async fn only_the_announced_bytes_are_taken(world: World) {
        let bytes = jpeg(64, 32);
        let (seed, _, photo, walk) = announced(&world, &bytes).await;
        let _ = begin(&seed.manager, &photo, bytes.len() + 1).await.refused(422, "upload_differs");
        let _ = begin(&seed.manager, &id(), bytes.len()).await.refused(404, "not_found");
        let mut other = bytes.clone();
        let last = other.len() - 1;
        other[last - 10] ^= 1;
        let at = begun(&seed.manager, &photo, bytes.len()).await;
        let differs = add(&seed.manager, &at, 0, &other).await.refused(422, "upload_differs");
        assert_eq!(differs["announced_sha256"], hex::encode(Sha256::digest(&bytes)));
        assert_eq!(ask(&seed.manager, &at).await.status, 404, "it is given up");
        // Announced as it is, what is no photograph is refused by its content.
        let mut device = Device::new(&seed.manager, &walk["/inspections/".len()..]);
        let (not_one, text) = (id(), b"no photograph at all".to_vec());
        assert_eq!(device.does(announce(&not_one, &text)).await["outcome"], "applied");
        let at = begun(&seed.manager, &not_one, text.len()).await;
        let _ = add(&seed.manager, &at, 0, &text).await.refused(415, "photo_unsupported");
        let put = format!("{walk}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T13:39:00Z");
        let _ = seed.manager.upload(&put, "image/jpeg", &jpeg(32, 64)).await.refused(422, "upload_differs");
        // The older way in takes the announced bytes as well.
        let view = seed.manager.upload(&put, "image/jpeg", &bytes).await.expect(201);
        assert_eq!(view["arrived"], true);
        let _ = seed.manager.upload(&put, "image/jpeg", &bytes).await.expect(200);
    }

    async fn the_protocol_is_spoken_strictly(world: World) {
        let bytes = jpeg(64, 32);
        let (seed, _, photo, _) = announced(&world, &bytes).await;
        let told = world.anonymous.send(world.anonymous.request(Method::OPTIONS, "/uploads")).await;
        assert_eq!((told.status, told.header("tus-version"), told.header("tus-max-size")), (204, "1.0.0", "26214400"));
        assert_eq!(told.header("tus-extension"), "creation,checksum,termination,expiration");
        assert_eq!(told.header("tus-checksum-algorithm"), "sha256");
        let manager = &seed.manager;
        let unversioned = manager.send(manager.request(Method::POST, "/uploads")).await;
        let _ = unversioned.refused(412, "tus_version");
        assert_eq!(unversioned.header("tus-version"), "1.0.0");
        let at = begun(manager, &photo, bytes.len()).await;
        let piece = |kind: &str, checksum: &str| {
            let request = manager.request(Method::PATCH, &at).header("Tus-Resumable", "1.0.0");
            let request = request.header("Upload-Offset", "0").header("Content-Type", kind.to_owned());
            request.header("Upload-Checksum", checksum.to_owned()).body(bytes[..50].to_vec())
        };
        let kind = "application/offset+octet-stream";
        let right = format!("sha256 {}", STANDARD.encode(Sha256::digest(&bytes[..50])));
        let wrong = format!("sha256 {}", STANDARD.encode(Sha256::digest(&bytes[..49])));
        let _ = manager.send(piece("image/jpeg", &right)).await.refused(415, "unsupported_media_type");
        let _ = manager.send(piece(kind, "md5 AAAA")).await.refused(400, "header_invalid");
        let _ = manager.send(piece(kind, &wrong)).await.refused(460, "upload_checksum");
        is_at(&ask(manager, &at).await, 200, 0);
        is_at(&manager.send(piece(kind, &right)).await, 204, 50);
        // A later attempt takes the place of an earlier one.
        let second = begun(manager, &photo, bytes.len()).await;
        assert_eq!(ask(manager, &at).await.status, 404);
        let end = manager.request(Method::DELETE, &second).header("Tus-Resumable", "1.0.0");
        assert_eq!(manager.send(end).await.status, 204);
        assert_eq!(ask(manager, &second).await.status, 404);
        // Nobody of another depot reaches an upload.
        let third = begun(manager, &photo, bytes.len()).await;
        let south = id();
        let _ = manager.post("/depots", &handsel_tests::depot(&south, "South", "Europe/London")).await.expect(201);
        let _ = manager.post("/staff", &handsel_tests::staff(&id(), "stan", "inspector", Some(&south))).await.expect(201);
        let stan = world.sign_in("stan@fernway.example").await;
        assert_eq!(ask(&stan, &third).await.status, 404);
        let _ = add(&stan, &third, 0, &bytes).await.refused(404, "not_found");
    }

    async fn a_photograph_taken_back_takes_its_upload_along(world: World) {
        let bytes = jpeg(64, 32);
        let (seed, mut device, photo, _) = announced(&world, &bytes).await;
        let at = begun(&seed.manager, &photo, bytes.len()).await;
        is_at(&add(&seed.manager, &at, 0, &bytes[..10]).await, 204, 10);
        let gone = device.does(json!({"kind": "photo_removed", "id": photo})).await;
        assert_eq!(fates(&[gone]), ["applied"]);
        let _ = add(&seed.manager, &at, 10, &bytes[10..]).await.refused(404, "not_found");
    }
}
