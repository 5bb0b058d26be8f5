//! The office: what waits, links for hirers, disputes that hold a charge, letters and notices on their way out.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ed25519_dalek::pkcs8::DecodePublicKey;
use ed25519_dalek::{Signature, VerifyingKey};
use handsel::outside::Addresses;
use handsel_tests::{
    Client, Kind, MailServer, Seed, ToldProgram, Walker, World, fixture, free_port, id, money, on_each_database,
};
use reqwest::Method;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// A client that follows a link.
async fn follower(seed: &Seed, world: &World, hire: &str) -> (Client, String) {
    let link = id();
    let asked = json!({"id": link, "lang": "en"});
    let made = seed.manager.post(&format!("/hires/{hire}/links"), &asked).await.expect(200);
    let address = made["address"].as_str().unwrap();
    let token = address.strip_prefix("https://hire.fernway.example/own#").unwrap();
    (world.anonymous.with_token(token), link)
}

async fn waiting(seed: &Seed, query: &str) -> Vec<Value> {
    let answer = seed.manager.get(&format!("/workbench{query}")).await.expect(200);
    answer["items"].as_array().unwrap().clone()
}

fn blocks(row: &Value) -> Vec<&str> {
    row["blocks"].as_array().unwrap().iter().map(|b| b.as_str().unwrap()).collect()
}

fn line<'a>(comparison: &'a Value, key: &str) -> &'a Value {
    comparison["lines"].as_array().unwrap().iter().find(|l| l["key"] == key).unwrap()
}

async fn post(seed: &Seed, hire: &str, what: &str, body: &Value) -> handsel_tests::Answer {
    seed.manager.post_once(&format!("/hires/{hire}/{what}"), id(), body).await
}

on_each_database! {
    async fn a_return_waits_until_it_is_settled_and_says_what_is_in_its_way(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        assert_eq!(waiting(&seed, "").await, Vec::<Value>::new());
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(50_000),
            "reference": "AUTH-1", "hold_ends_at": "2026-04-06T12:00:00Z"});
        let _ = post(&seed, &hire, "movements", &hold).await.expect(200);
        // Out with a hold that lapses in eight days: nothing to do, nothing to warn of.
        let quiet = seed.manager.get("/workbench/summary").await.expect(200);
        assert_eq!((&quiet["waiting"], &quiet["holds"]), (&json!(0), &json!([])));
        let walk = seed.departure(&hire).await;
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        world.clock.set("2026-04-04T12:30:00Z");
        let walk = Walker::start(&seed.manager, &hire, "return").await;
        walk.usual_return().await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);

        let rows = waiting(&seed, "").await;
        assert_eq!(rows.len(), 1);
        assert_eq!(blocks(&rows[0]), ["undecided"]);
        assert_eq!(rows[0]["standing"]["promised_at"], "2026-04-11T12:30:00Z", "seven days after the return");
        assert_eq!((&rows[0]["standing"]["open_lines"], &rows[0]["hold"]), (&json!(2), &json!("lapses_soon")));
        let summary = seed.manager.get("/workbench/summary").await.expect(200);
        assert_eq!(summary["holds"][0]["ends_at"], "2026-04-06T12:00:00Z");
        assert_eq!((&summary["holds"][0]["state"], &summary["holds"][0]["held"]), (&json!("lapses_soon"), &money(50_000)));
        // Extended in time, the warning goes.
        let longer = json!({"id": id(), "kind": "hold_extended", "means": "card", "amount": money(0),
            "reference": "AUTH-1", "hold_ends_at": "2026-04-20T12:00:00Z"});
        let _ = post(&seed, &hire, "movements", &longer).await.expect(200);
        assert_eq!(seed.manager.get("/workbench/summary").await.expect(200)["holds"], json!([]));
        assert_eq!(waiting(&seed, "").await[0]["hold"], "stands");
        world.clock.set("2026-04-20T12:00:00Z");
        let late = seed.manager.get("/workbench/summary").await.expect(200);
        assert_eq!((&late["overdue"], &late["holds"][0]["state"]), (&json!(1), &json!("lapsed")));
        world.clock.set("2026-04-05T09:00:00Z");

        let _ = seed.accept(&hire, "distance").await;
        assert_eq!(blocks(&waiting(&seed, "?blocked=undecided").await[0]), ["undecided"]);
        let _ = seed.accept(&hire, "fuel").await;
        assert!(waiting(&seed, "?blocked=undecided").await.is_empty());
        assert_eq!(blocks(&waiting(&seed, "?blocked=money").await[0]), ["money_held", "money_owed"]);
        let capture = json!({"id": id(), "kind": "captured", "means": "card", "amount": money(20_500), "reference": "AUTH-1"});
        let _ = post(&seed, &hire, "movements", &capture).await.expect(200);
        let release = json!({"id": id(), "kind": "released", "means": "card", "amount": money(29_500), "reference": "AUTH-1"});
        let _ = post(&seed, &hire, "movements", &release).await.expect(200);
        assert_eq!(blocks(&waiting(&seed, "?blocked=nothing").await[0]), ["ready_to_close"]);
        let _ = post(&seed, &hire, "settlement", &json!({})).await.expect(200);
        assert!(waiting(&seed, "").await.is_empty());
    }

    async fn hires_from_before_the_workbench_are_caught_up_with(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let before = waiting(&seed, "").await;
        world.execute("DELETE FROM standing").await;
        assert!(waiting(&seed, "").await.is_empty());
        assert_eq!(handsel::app::workbench::catch_up(&world.app).await.unwrap(), 1);
        assert_eq!(waiting(&seed, "").await, before);
        assert_eq!(before[0]["hire"], json!(hire));
    }

    async fn what_nothing_speaks_against_is_accepted_at_once_and_nothing_else(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let comparison = seed.manager.get(&format!("/hires/{hire}/comparison")).await.expect(200);
        let keys = ["distance", "fuel"];
        let weak: Vec<&str> = keys.into_iter().filter(|k| line(&comparison, k)["weak_points"] != json!([])).collect();
        assert_eq!(weak, keys, "no photograph of either reading: both have a weak point");
        let several = |lines: &[&str]| {
            json!({"lines": lines.iter().map(|l| json!({"id": id(), "line": l})).collect::<Vec<_>>()})
        };
        let refused = post(&seed, &hire, "decisions/several", &several(&keys)).await.refused(422, "values_invalid");
        assert_eq!(refused["errors"].as_array().unwrap().len(), 2);
        let refused = post(&seed, &hire, "decisions/several", &several(&["nothing"])).await.refused(422, "values_invalid");
        assert_eq!(refused["errors"][0]["pointer"], "/lines/0/line");
        let _ = post(&seed, &hire, "decisions/several", &json!({"lines": []})).await.refused(422, "values_invalid");
        assert_eq!(seed.manager.get(&format!("/hires/{hire}/decisions")).await.expect(200)["items"], json!([]));
    }

    async fn a_link_shows_one_hire_until_it_is_taken_back_or_runs_out(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let (hirer, link) = follower(&seed, &world, &hire).await;
        let own = hirer.get("/hirer").await.expect(200);
        assert_eq!((&own["reference"], &own["may_dispute"]), (&json!("F-1"), &json!(true)));
        assert_eq!(own["records"].as_array().unwrap().len(), 2);
        let sealed = own["records"][0]["record_sha256"].as_str().unwrap();
        assert_eq!(sealed.len(), 64);
        assert_eq!(own["statement"]["open_lines"], 2);
        assert_eq!(own["promised_at"], "2026-04-11T12:30:00Z");
        // It opens nothing else, and a member of staff does not come in by it.
        let _ = hirer.get("/hires").await.refused(401, "unauthenticated");
        let _ = hirer.get(&format!("/hires/{hire}")).await.refused(401, "unauthenticated");
        let _ = seed.manager.get("/hirer").await.refused(401, "link_invalid");
        let _ = world.anonymous.with_token("nonsense").get("/hirer").await.refused(401, "link_invalid");

        let links = seed.manager.get(&format!("/hires/{hire}/links")).await.expect(200);
        assert_eq!((links["items"].as_array().unwrap().len(), &links["items"][0]["id"]), (1, &json!(link)));
        assert!(!links.to_string().contains("own#"), "the address is told once: {links}");
        let other = seed.manager.post("/hires", &handsel_tests::hire(&id(), "F-2", &seed.depot, &seed.vehicle)).await;
        let other = other.expect(201)["id"].as_str().unwrap().to_owned();
        let _ = seed.manager.delete(&format!("/hires/{other}/links/{link}")).await.refused(404, "not_found");
        let asked = json!({"id": link, "lang": "de"});
        let _ = seed.manager.post(&format!("/hires/{hire}/links"), &asked).await.refused(409, "id_taken");

        let taken_back = seed.manager.delete(&format!("/hires/{hire}/links/{link}")).await.expect(200);
        assert_eq!(taken_back["items"][0]["revoked_at"], "2026-04-04T12:30:00Z");
        let _ = hirer.get("/hirer").await.refused(401, "link_invalid");
        let (another, _) = follower(&seed, &world, &hire).await;
        let _ = another.get("/hirer").await.expect(200);
        world.clock.pass(90 * 86_400);
        let _ = another.get("/hirer").await.refused(401, "link_expired");
    }

    async fn a_dispute_holds_its_line_and_stops_its_capture_until_it_is_answered(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(50_000)});
        let _ = post(&seed, &hire, "movements", &hold).await.expect(200);
        let _ = seed.accept(&hire, "distance").await;
        let _ = seed.accept(&hire, "fuel").await;
        let (hirer, _) = follower(&seed, &world, &hire).await;
        world.clock.pass(60);

        let photo = id();
        let sent = |photo: &str| {
            hirer.request(Method::PUT, &format!("/hirer/photos/{photo}")).header("content-type", "image/jpeg").body(fixture())
        };
        assert_eq!(hirer.send(sent(&photo)).await.status, 204);
        assert_eq!(hirer.send(sent(&photo)).await.status, 204, "sent twice, kept once");
        let shown = hirer.get(&format!("/hirer/photos/{photo}?size=list")).await;
        assert_eq!((shown.status, shown.bytes.len() > 1000), (200, true));
        let dispute = id();
        let asked = json!({"id": dispute, "line": "fuel", "words": "I filled it up at the last village.", "photos": [photo]});
        for wrong in [
            json!({"id": id(), "line": "gas.total", "words": "No."}),
            json!({"id": id(), "line": "fuel", "words": " "}),
            json!({"id": id(), "line": "fuel", "words": "No.", "photos": [id()]}),
        ] {
            let _ = hirer.post("/hirer/disputes", &wrong).await.refused(422, "values_invalid");
        }
        let own = hirer.post("/hirer/disputes", &asked).await.expect(200);
        assert_eq!((own["items"].as_array().unwrap().len(), &own["items"][0]["amount"]), (1, &money(5500)));
        assert_eq!(hirer.post("/hirer/disputes", &asked).await.expect(200), own, "sent again, raised once");
        let again = json!({"id": id(), "line": "fuel", "words": "Once more."});
        let _ = hirer.post("/hirer/disputes", &again).await.refused(409, "dispute_refused");

        // 205.00 was charged, 150.00 is left that may be captured.
        let capture = |minor| json!({"id": id(), "kind": "captured", "means": "card", "amount": money(minor)});
        let refused = post(&seed, &hire, "movements", &capture(20_500)).await.refused(422, "movement_refused");
        assert_eq!((&refused["reason"], &refused["outstanding"]), (&json!("beyond_owed"), &money(15_000)));
        let _ = post(&seed, &hire, "movements", &capture(15_000)).await.expect(200);
        let rows = waiting(&seed, "?blocked=dispute").await;
        assert_eq!(blocks(&rows[0]), ["disputed", "held"]);
        let comparison = seed.manager.get(&format!("/hires/{hire}/comparison")).await.expect(200);
        assert_eq!(line(&comparison, "fuel")["state"], "held");
        let refused = post(&seed, &hire, "settlement", &json!({})).await.refused(409, "lines_undecided");
        assert_eq!(refused["lines"], json!(["fuel"]));
        let seen = seed.manager.get(&format!("/hires/{hire}/disputes")).await.expect(200);
        assert_eq!(seen["items"][0]["words"], "I filled it up at the last village.");
        let looked = seed.manager.get(&format!("/hires/{hire}/dispute-photos/{photo}?size=list")).await;
        assert_eq!(looked.status, 200);
        let early = json!({"outcome": "rejected", "words": "No."});
        let path = format!("/hires/{hire}/disputes/{dispute}/answer");
        let _ = seed.manager.post(&path, &early).await.refused(409, "dispute_refused");

        // Answered by deciding the line, with a reason.
        world.clock.pass(60);
        let silent = json!({"id": id(), "line": "fuel", "verdict": "accept"});
        let refused = post(&seed, &hire, "decisions", &silent).await.refused(422, "decision_refused");
        assert_eq!(refused["reason"], "reason_required");
        let waived = json!({"id": id(), "line": "fuel", "verdict": "waive", "reason": "The receipt shows it."});
        let _ = post(&seed, &hire, "decisions", &waived).await.expect(200);
        let own = hirer.get("/hirer").await.expect(200);
        assert_eq!(own["disputes"][0]["outcome"], "upheld");
        assert_eq!(own["disputes"][0]["answer"], "The receipt shows it.");
        let release = json!({"id": id(), "kind": "released", "means": "card", "amount": money(35_000)});
        let _ = post(&seed, &hire, "movements", &release).await.expect(200);
        let _ = post(&seed, &hire, "settlement", &json!({})).await.expect(200);

        // After the settlement: a further entry, not another decision, and only while there is time.
        world.clock.pass(60);
        let late = id();
        let asked = json!({"id": late, "line": "distance", "words": "The odometer was replaced."});
        let _ = hirer.post("/hirer/disputes", &asked).await.expect(200);
        let statement = seed.manager.get(&format!("/hires/{hire}/statement")).await.expect(200);
        assert_eq!((&statement["charged"], &statement["open_lines"]), (&money(15_000), &json!(0)), "it stays as closed");
        assert_eq!(blocks(&waiting(&seed, "").await[0]), ["disputed"]);
        let repaid = json!({"id": id(), "kind": "repaid", "means": "card", "amount": money(4000)});
        let _ = post(&seed, &hire, "movements", &repaid).await.expect(200);
        let answer = json!({"outcome": "partly_upheld", "words": "Forty are on their way back."});
        let path = format!("/hires/{hire}/disputes/{late}/answer");
        let done = seed.manager.post(&path, &answer).await.expect(200);
        assert_eq!(done["items"][1]["answered_by_name"], "Manager");
        assert_eq!(seed.manager.post(&path, &answer).await.expect(200), done, "answered once");
        let other = json!({"outcome": "rejected", "words": "No."});
        let _ = seed.manager.post(&path, &other).await.refused(409, "dispute_refused");
        assert!(waiting(&seed, "").await.is_empty());
        world.clock.pass(31 * 86_400);
        let asked = json!({"id": id(), "line": "distance", "words": "One more thing."});
        let _ = hirer.post("/hirer/disputes", &asked).await.refused(409, "dispute_refused");
    }

    async fn a_cards_number_is_never_recorded(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        for field in ["reference", "note", "payer"] {
            let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(100), field: "4539 5787 6362 1486"});
            let problem = post(&seed, &hire, "movements", &hold).await.refused(422, "values_invalid");
            assert_eq!(problem["errors"][0]["pointer"], format!("/{field}"));
        }
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "cash", "amount": money(100), "payer": "Rowan Second"});
        let ledger = post(&seed, &hire, "movements", &hold).await.expect(200);
        assert_eq!(ledger["movements"][0]["payer"], "Rowan Second");
    }
}

/// Waits until the one job of a kind has been tried in vain and is to be tried again. Only then may the clock go on: when
/// that is due is reckoned from it.
async fn tried_and_waiting(world: &World, kind: &str) {
    let asked = format!("SELECT COUNT(*) FROM job WHERE kind = '{kind}' AND attempts >= 1 AND state = 'waiting'");
    for _ in 0..600 {
        if world.count(&asked).await == 1 {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("no {kind} was tried");
}

/// One of each database there is.
fn kinds() -> Vec<Kind> {
    [Some(Kind::Sqlite), Kind::postgres()].into_iter().flatten().collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn letters_wait_for_a_mail_server_that_is_away_and_go_out_once() {
    for kind in kinds() {
        let port = free_port();
        let smtp = Some((format!("smtp://127.0.0.1:{port}"), "Fernway Campers <desk@fernway.example>".to_owned()));
        let world = World::with(kind, Addresses { smtp, webhook: None }).await;
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let asked = json!({"id": id(), "lang": "de", "mail": true});
        let path = format!("/hires/{hire}/links");
        let made = seed.manager.post(&path, &asked).await.expect(200);
        let to = made["mailed_to"].as_str().unwrap().to_owned();
        assert_eq!(
            seed.manager.post(&path, &asked).await.expect(200)["address"],
            made["address"],
            "asked again: one letter"
        );
        tried_and_waiting(&world, "letter").await;
        assert_eq!(world.count("SELECT COUNT(*) FROM letter WHERE sent_at IS NULL").await, 1, "nothing is lost");
        let mail = MailServer::start(port).await;
        world.clock.pass(6);
        let letters = mail.letters(1).await;
        let letter = &letters[0];
        for part in [
            format!("To: {to}"),
            "From: \"Fernway Campers\" <desk@fernway.example>".to_owned(),
            "Message-ID: <".to_owned(),
        ] {
            assert!(letter.contains(&part), "{part} in {letter}");
        }
        world.clock.pass(3600);
        tokio::time::sleep(std::time::Duration::from_millis(1200)).await;
        assert_eq!(mail.count(), 1);
        assert_eq!(world.count("SELECT COUNT(*) FROM letter WHERE sent_at IS NOT NULL").await, 1);
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_program_is_told_and_can_check_who_tells() {
    for kind in kinds() {
        let program = ToldProgram::start(1).await;
        let webhook = Some(format!("http://127.0.0.1:{}/told", program.port));
        let world = World::with(kind, Addresses { smtp: None, webhook }).await;
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let hold = json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": money(50_000)});
        let _ = post(&seed, &hire, "movements", &hold).await.expect(200);
        tried_and_waiting(&world, "notice").await;
        world.clock.pass(6);
        let told = program.told(1).await.swap_remove(0);
        let body: Value = serde_json::from_str(&told.body).unwrap();
        assert_eq!((&body["kind"], &body["hire"]), (&json!("movement_recorded"), &json!(hire)));
        assert_eq!(body["content"]["amount"], money(50_000));

        // RFC 9530 and RFC 9421, checked from the text that arrived.
        let digest = format!("sha-256=:{}:", STANDARD.encode(Sha256::digest(&told.body)));
        assert_eq!(told.headers["content-digest"], digest);
        let parameters = told.headers["signature-input"].strip_prefix("handsel=").unwrap();
        let base = format!("\"content-digest\": {digest}\n\"@signature-params\": {parameters}");
        let signature = told.headers["signature"].strip_prefix("handsel=:").unwrap().strip_suffix(':').unwrap();
        let signature = Signature::from_slice(&STANDARD.decode(signature).unwrap()).unwrap();
        let departure = seed.manager.get(&format!("/hires/{hire}")).await.expect(200)["departure"].clone();
        let seal = seed.manager.get(&format!("/inspections/{}/seal", departure.as_str().unwrap())).await.expect(200);
        let key = VerifyingKey::from_public_key_pem(seal["public_key"].as_str().unwrap()).unwrap();
        key.verify_strict(base.as_bytes(), &signature).unwrap();
        assert!(parameters.contains(&format!("keyid=\"{}\"", seal["key_id"].as_str().unwrap())));
    }
}
