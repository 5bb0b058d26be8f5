//! Typeset documents over HTTP: who is sent what, how long it may be kept, and that it is a PDF that says what is recorded.

use crate::photos::place;
use handsel_tests::{Answer, Client, Seed, id, jpeg, on_each_database};
use reqwest::Method;
use serde_json::json;
use std::process::{Command, Stdio};

/// The text of a PDF, in the order of its content, its lines joined.
fn text(pdf: &[u8]) -> String {
    let mut reader = Command::new("pdftotext")
        .args(["-raw", "-enc", "UTF-8", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap_or_else(|e| panic!("pdftotext is needed (Debian: poppler-utils): {e}"));
    let mut stdin = reader.stdin.take().unwrap();
    let bytes = pdf.to_vec();
    let writing = std::thread::spawn(move || std::io::Write::write_all(&mut stdin, &bytes));
    let output = reader.wait_with_output().unwrap();
    writing.join().unwrap().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Asked for by somebody who has what a tag stands for.
async fn known(client: &Client, path: &str, tag: &str) -> Answer {
    client.send(client.request(Method::GET, path).header("If-None-Match", tag)).await
}

on_each_database! {
    async fn a_record_is_a_draft_until_it_is_sealed_and_then_never_changes(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let path = format!("/inspections/{}/record.pdf", walk.inspection);
        let draft = seed.manager.get(&format!("{path}?lang=en")).await;
        assert_eq!((draft.status, draft.header("content-type")), (200, "application/pdf"));
        assert_eq!(draft.header("cache-control"), "private, no-cache");
        assert!(text(&draft.bytes).contains("Draft: this record is not signed yet."));

        let photo = id();
        let _ = seed.manager.upload(&place(&walk, &photo, "viewpoint", "left"), "image/jpeg", &jpeg(640, 480)).await.expect(201);
        let mark = json!({
            "panel": "side_left", "kind": "scratch", "size_mm": 30, "depth": "surface", "viewpoint": "left",
            "x": "0.25", "y": "0.5", "photos": [photo], "note": "#panic() *low* $down$",
        });
        let _ = seed.manager.put(&format!("{}/marks/{}", walk.path, id()), &mark).await.expect(201);
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);

        let sealed = seed.manager.get(&format!("{path}?lang=en")).await;
        assert_eq!((sealed.status, sealed.header("cache-control")), (200, "private, max-age=31536000, immutable"));
        assert_eq!(sealed.header("content-language"), "en");
        assert!(sealed.header("content-disposition").contains("handover-F-1.pdf"));
        assert_ne!(sealed.header("etag"), draft.header("etag"));
        let seal = seed.manager.get(&format!("/inspections/{}/seal", walk.inspection)).await.expect(200);
        let told = text(&sealed.bytes);
        for wanted in [
            "Handover record F-1", "Bracken, TEST 1", "10,000 km", "8/8", "30 mm, on the surface",
            "Note: #panic() *low* $down$", "The glass lid", "Hot. The maker's handbook goes first.", "Kim Hirer",
            seal["sha256"].as_str().unwrap(), seal["key_id"].as_str().unwrap(),
        ] {
            assert!(told.contains(wanted), "{wanted} is not in {told}");
        }
        let again = seed.manager.get(&format!("{path}?lang=en")).await;
        assert!(again.bytes == sealed.bytes, "the same bytes");
        let unchanged = known(&seed.manager, &format!("{path}?lang=en"), sealed.header("etag")).await;
        assert_eq!((unchanged.status, unchanged.bytes.len()), (304, 0));
        let german = seed.manager.get(&format!("{path}?lang=de")).await;
        assert_eq!(german.header("content-language"), "de");
        assert!(text(&german.bytes).contains("Heiß. Das Handbuch geht vor."));
        assert_ne!(german.header("etag"), sealed.header("etag"));
    }

    async fn a_return_record_stands_beside_its_departure(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let back = seed.manager.get(&format!("/hires/{hire}")).await.expect(200)["return"].as_str().unwrap().to_owned();
        let sent = seed.manager.get(&format!("/inspections/{back}/record.pdf?lang=de")).await;
        assert_eq!(sent.status, 200);
        let told = text(&sent.bytes);
        for wanted in ["Rückgabeprotokoll F-1", "odometer 10.000 km 11.900 km anders als bei der Übergabe", "8/8", "6/8"] {
            assert!(told.contains(wanted), "{wanted} is not in {told}");
        }
    }

    async fn a_statement_changes_its_tag_with_what_it_says(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let path = format!("/hires/{hire}/statement.pdf?lang=en");
        let _ = seed.manager.get(&path).await.refused(409, "hire_state");
        let hire = seed.back(&world, "F-2").await;
        let path = format!("/hires/{hire}/statement.pdf?lang=en");
        let first = seed.manager.get(&path).await;
        assert_eq!((first.status, first.header("cache-control")), (200, "private, no-cache"));
        assert!(text(&first.bytes).contains("not decided yet"));
        let _ = seed.accept(&hire, "fuel").await;
        let second = known(&seed.manager, &path, first.header("etag")).await;
        assert_eq!(second.status, 200);
        assert_ne!(second.header("etag"), first.header("etag"));
        assert!(text(&second.bytes).contains("Charged altogether £55.00"), "{}", text(&second.bytes));
        assert_eq!(known(&seed.manager, &path, second.header("etag")).await.status, 304);
    }

    async fn documents_stay_within_the_depot(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let out = seed.manager.get(&format!("/hires/{hire}")).await.expect(200)["departure"].as_str().unwrap().to_owned();
        let other = id();
        let south = handsel_tests::depot(&other, "South", "Europe/London");
        let _ = seed.manager.post("/depots", &south).await.expect(201);
        let person = handsel_tests::staff(&id(), "sam", "office", Some(&other));
        let _ = seed.manager.post("/staff", &person).await.expect(201);
        let sam = world.sign_in("sam@fernway.example").await;
        for path in [format!("/inspections/{out}/record.pdf"), format!("/hires/{hire}/statement.pdf")] {
            let _ = sam.get(&path).await.refused(404, "not_found");
            let _ = world.anonymous.get(&path).await.refused(401, "unauthenticated");
            assert_eq!(seed.manager.get(&path).await.status, 200, "{path}");
        }
    }

    async fn many_documents_at_once_leave_the_server_answering(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let path = format!("/hires/{hire}/statement.pdf");
        let asked = (0..12).map(|_| seed.manager.get(&path));
        let other = format!("/hires/{hire}");
        let (documents, alive) = tokio::join!(futures_util::future::join_all(asked), seed.manager.get(&other));
        assert_eq!(alive.status, 200);
        assert!(documents.iter().all(|d| d.status == 200 && d.bytes == documents[0].bytes));
    }
}
