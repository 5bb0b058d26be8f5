//! Personal data goes once its time is over; money, hashes and what the vehicle's own register needs stay.

use handsel::app::erasure::erase_due;
use handsel_documents::bundle::verify;
use handsel_tests::{Seed, Walker, fixture, id, money, on_each_database};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::io::Cursor;
use std::path::Path;

/// Every file of a folder whose name begins with a hash.
fn files_of(folder: &Path, sha256: &str) -> usize {
    let place = folder.join("photos").join(&sha256[..2]);
    std::fs::read_dir(place)
        .map_or(0, |all| all.filter(|f| f.as_ref().unwrap().file_name().to_string_lossy().starts_with(sha256)).count())
}

on_each_database! {
    async fn after_its_time_nobody_can_be_named_and_every_hash_still_stands(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let photo = id();
        let place = format!("{}/photos/{photo}?of=viewpoint&key=left&taken_at=2026-03-28T13:30:00Z", walk.path);
        let _ = walk.client.upload(&place, "image/jpeg", &fixture()).await.expect(201);
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        world.clock.set("2026-04-04T12:30:00Z");
        let back = Walker::start(&seed.manager, &hire, "return").await;
        back.usual_return().await;
        back.both_sign().await;
        let _ = back.sign().await.expect(200);
        for line in ["distance", "fuel"] {
            let _ = seed.accept(&hire, line).await;
        }
        let paid = json!({"id": id(), "kind": "paid", "means": "cash", "amount": money(20_500), "payer": "Rowan Payer"});
        let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &paid).await.expect(200);
        let _ = seed.manager.post_once(&format!("/hires/{hire}/settlement"), id(), &json!({})).await.expect(200);
        let link = seed.manager.post(&format!("/hires/{hire}/links"), &json!({"id": id(), "lang": "en"})).await.expect(200);
        let token = link["address"].as_str().unwrap().split('#').nth(1).unwrap().to_owned();
        let hirer = world.anonymous.with_token(&token);
        let sent = id();
        let request = hirer.request(reqwest::Method::PUT, &format!("/hirer/photos/{sent}")).header("content-type", "image/jpeg");
        let private = handsel_tests::jpeg(800, 600);
        assert_eq!(hirer.send(request.body(private.clone())).await.status, 204);
        let dispute = id();
        let asked = json!({"id": dispute, "line": "fuel", "words": "Kim Hirer says no.", "photos": [sent]});
        let _ = hirer.post("/hirer/disputes", &asked).await.expect(200);
        let seal = seed.manager.get(&format!("{}/seal", walk.path)).await.expect(200);
        let (original, private) = (hex::encode(Sha256::digest(fixture())), hex::encode(Sha256::digest(private)));
        let _ = seed.manager.get(&format!("/photos/{photo}?size=zoom")).await;
        assert!(files_of(world.folder(), &original) > 3 && files_of(world.folder(), &private) > 3);

        // Two years on, but somebody still waits for an answer; and a day too early.
        world.clock.set("2028-05-05T00:00:00Z");
        assert_eq!(erase_due(&world.app).await.unwrap(), 0, "a dispute is open");
        world.clock.set("2026-04-05T00:00:00Z");
        let answer = json!({"outcome": "rejected", "words": "The gauge shows it."});
        let _ = seed.manager.post(&format!("/hires/{hire}/disputes/{dispute}/answer"), &answer).await.expect(200);
        world.clock.set("2028-04-04T12:00:00Z");
        assert_eq!(erase_due(&world.app).await.unwrap(), 0, "half an hour too early");
        world.clock.set("2028-04-04T13:00:00Z");
        assert_eq!(erase_due(&world.app).await.unwrap(), 1);
        assert_eq!(erase_due(&world.app).await.unwrap(), 0, "once");

        let manager = world.manager().await;
        let now = manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!((&now["drivers"][0]["name"], &now["drivers"][0]["email"]), (&json!(""), &json!("")));
        assert_eq!(now["erased_at"], "2028-04-04T13:00:00Z");
        for path in [format!("/hires/{hire}"), walk.path.clone(), format!("/hires/{hire}/case"), format!("/hires/{hire}/disputes"), format!("/hires/{hire}/statement")] {
            let text = manager.get(&path).await.expect(200).to_string();
            assert!(!text.contains("Kim Hirer"), "{path}: {text}");
        }
        let _ = world.anonymous.with_token(&token).get("/hirer").await.refused(401, "link_expired");
        assert_eq!(files_of(world.folder(), &private), 0, "what the hirer sent is gone");
        assert!(!world.folder().join("photos").join(&original[..2]).join(&original).exists(), "the original is gone");
        assert_eq!(manager.get(&format!("/photos/{photo}?size=screen")).await.status, 200, "the copy without metadata stays");
        // The ledger keeps what it must.
        let ledger = manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
        assert_eq!((&ledger["balances"]["received"], &ledger["movements"][0]["payer"]), (&money(20_500), &json!("Rowan Payer")));

        // Of the seals the hashes stay, in a document that is signed; and the next seal follows the last.
        let erased = manager.get(&format!("/hires/{hire}/erasure")).await.expect(200);
        let document: Value = serde_json::from_str(erased["document"].as_str().unwrap()).unwrap();
        assert_eq!(document["seals"][0]["sha256"], seal["sha256"]);
        assert_eq!(document["seals"][0]["record_sha256"], seal["record_sha256"]);
        assert_eq!(document["seals"][1]["previous"], seal["sha256"]);
        assert_eq!(erased["sha256"], hex::encode(Sha256::digest(erased["document"].as_str().unwrap())));
        let empty = manager.get(&format!("{}/seal", walk.path)).await.expect(200);
        assert_eq!((&empty["record"], &empty["sha256"]), (&json!(""), &seal["sha256"]));
        let bundle = manager.get(&format!("/hires/{hire}/bundle.zip")).await;
        let verdict = verify(Cursor::new(&bundle.bytes), None);
        assert_eq!(verdict.problems, []);
        assert_eq!((verdict.seals, verdict.lines), (0, 2), "nothing sealed is left to check, every charge still is");
    }
}
