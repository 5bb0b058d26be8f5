//! What a device recorded on its own: taken in its order, each once, each with its own answer.

use handsel_tests::{Answer, Client, SIGNATURE, Seed, Walker, id, on_each_database};
use serde_json::{Value, json};

/// A device with operations to send.
pub(crate) struct Device {
    pub(crate) client: Client,
    pub(crate) id: String,
    inspection: String,
    next: u32,
}

impl Device {
    pub(crate) fn new(client: &Client, inspection: &str) -> Self {
        Self { client: client.clone(), id: id(), inspection: inspection.to_owned(), next: 1 }
    }

    pub(crate) fn operation(&mut self, deed: Value) -> Value {
        let sequence = self.next;
        self.next += 1;
        json!({
            "id": id(), "sequence": sequence, "done_at": "2026-03-28T13:40:00.250Z", "inspection": self.inspection,
            "deed": deed,
        })
    }

    pub(crate) async fn send(&self, operations: &[Value]) -> Answer {
        self.client.post("/operations", &json!({"device": self.id, "operations": operations})).await
    }

    /// Sends them, and gives what became of each.
    pub(crate) async fn outcomes(&self, operations: &[Value]) -> Vec<Value> {
        self.send(operations).await.expect(200)["outcomes"].as_array().unwrap().clone()
    }

    /// Does one deed at once.
    pub(crate) async fn does(&mut self, deed: Value) -> Value {
        let operation = self.operation(deed);
        self.outcomes(&[operation]).await.swap_remove(0)
    }
}

pub(crate) fn fates(outcomes: &[Value]) -> Vec<&str> {
    outcomes.iter().map(|o| o["outcome"].as_str().unwrap()).collect()
}

pub(crate) fn lid(entry: &str, state: &str, replaces: &[&str]) -> Value {
    let input = json!({
        "checkpoint": "hob_lid", "answer": {"kind": "condition", "state": state},
        "recorded_at": "2026-03-28T13:40:00Z", "replaces": replaces,
    });
    json!({"kind": "entry", "id": entry, "input": input})
}

pub(crate) fn signature(role: &str) -> Value {
    let strokes: Value = serde_json::from_str(SIGNATURE).unwrap();
    let input = json!({"name": "Kim Hirer", "strokes": strokes, "signed_at": "2026-03-28T14:04:00Z"});
    json!({"kind": "signature", "role": role, "input": input})
}

async fn started(seed: &Seed) -> (Walker, Device) {
    let hire = seed.hire("F-1").await;
    let walk = seed.departure(&hire).await;
    let device = Device::new(&seed.manager, &walk.inspection);
    (walk, device)
}

on_each_database! {
    async fn a_whole_departure_is_done_on_the_device_and_sent_afterwards(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let inspection = id();
        let mut device = Device::new(&seed.manager, &inspection);
        let (photo, mark, entry) = (id(), id(), id());
        let told = json!({"shown_at": "2026-03-28T13:50:00Z", "acknowledged_at": "2026-03-28T13:51:00Z"});
        let deeds = [
            json!({"kind": "start", "hire": hire, "leg": "departure"}),
            json!({"kind": "photo", "id": photo, "subject": {"of": "viewpoint", "viewpoint": "left"},
                "taken_at": "2026-03-28T13:39:00Z", "sha256": "ab".repeat(32), "bytes": 12_345, "width": 640,
                "height": 480, "content_type": "image/webp"}),
            lid(&entry, "in_order", &[]),
            json!({"kind": "mark", "id": mark, "input": {"panel": "side_left", "kind": "scratch", "size_mm": 12,
                "depth": "surface", "viewpoint": "left", "x": "0.250", "y": "0.5", "photos": [photo]}}),
            json!({"kind": "briefing", "topic": "lid", "input": told}),
            json!({"kind": "briefing", "topic": "fill_up", "input": told}),
            json!({"kind": "handover", "at": "2026-03-28T14:05:00Z"}),
            signature("hirer"),
            signature("staff"),
            json!({"kind": "sign"}),
        ];
        let operations: Vec<Value> = deeds.into_iter().map(|deed| device.operation(deed)).collect();
        world.clock.set("2026-03-28T18:00:00Z");
        let outcomes = device.outcomes(&operations).await;
        assert_eq!(fates(&outcomes), ["applied"; 10], "{outcomes:?}");
        assert_eq!(outcomes[2]["receipt"]["sequence"], 3);
        assert_eq!(outcomes[2]["receipt"]["received_at"], "2026-03-28T18:00:00Z");

        let view = seed.manager.get(&format!("/inspections/{inspection}")).await.expect(200);
        assert_eq!((&view["status"], &view["signed_at"]), (&json!("signed"), &json!("2026-03-28T13:40:00.250Z")));
        assert_eq!(view["started_at"], "2026-03-28T13:40:00.250Z");
        assert_eq!((&view["photos"][0]["arrived"], &view["photos"][0]["processing"]), (&json!(false), &json!("waiting")));
        assert_eq!(view["marks"][0]["photos"], json!([photo]));
        let hire = seed.manager.get(&format!("/hires/{hire}")).await.expect(200);
        assert_eq!((&hire["status"], &hire["departed_at"]), (&json!("out"), &json!("2026-03-28T14:05:00Z")));

        // The answer was lost: everything is sent again, and changes nothing.
        let again = device.outcomes(&operations).await;
        assert_eq!(fates(&again), ["already_applied"; 10]);
        assert_eq!(again[4]["receipt"], outcomes[4]["receipt"]);
        assert_eq!(seed.manager.get(&format!("/inspections/{inspection}")).await.expect(200), view);
    }

    async fn a_gap_holds_back_what_follows_and_says_where_to_go_on(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let all: Vec<Value> = (0..4).map(|_| device.operation(lid(&id(), "in_order", &[]))).collect();
        let early = device.outcomes(&[all[0].clone(), all[2].clone(), all[3].clone()]).await;
        assert_eq!(fates(&early), ["applied", "held_back", "held_back"]);
        for held in &early[1..] {
            let problem = &held["problem"];
            assert_eq!((&problem["code"], &problem["expected"]), (&json!("operation_out_of_order"), &json!(2)));
            assert_eq!((&problem["status"], &held["receipt"]), (&json!(409), &Value::Null));
        }
        assert_eq!(fates(&device.outcomes(&all).await), ["already_applied", "applied", "applied", "applied"]);
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["entries"].as_array().unwrap().len(), 4);
    }

    async fn a_refused_operation_is_handled_and_refused_alike_ever_after(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let wrong = device.operation(lid(&id(), "broken", &[]));
        let nowhere = device.operation(json!({"kind": "entry_removed", "id": "none"}));
        let unknown = device.operation(json!({"kind": "sing", "song": "any"}));
        let odometer = json!({"kind": "odometer", "value": "10000", "unit": "km"});
        let misplaced = device.operation(json!({"kind": "entry", "id": id(),
            "input": {"checkpoint": "hob_lid", "answer": odometer}}));
        let right = device.operation(lid(&id(), "in_order", &[]));
        let all = [wrong, nowhere, unknown, misplaced, right];
        let first = device.outcomes(&all).await;
        assert_eq!(fates(&first), ["refused", "refused", "refused", "refused", "applied"]);
        let codes: Vec<&Value> = first[..4].iter().map(|o| &o["problem"]["code"]).collect();
        assert_eq!(codes, ["body_invalid", "body_invalid", "body_invalid", "answer_invalid"]);
        assert_eq!(first[3]["problem"]["errors"][0]["pointer"], "/answer");
        assert!(first[3]["receipt"]["content_sha256"].as_str().is_some_and(|h| h.len() == 64));
        let again = device.outcomes(&all).await;
        assert_eq!(again[..4], first[..4]);
        assert_eq!(again[4]["outcome"], "already_applied");
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["entries"].as_array().unwrap().len(), 1);
    }

    async fn an_id_or_a_number_belongs_to_one_operation(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let first = device.operation(lid(&id(), "in_order", &[]));
        assert_eq!(fates(&device.outcomes(std::slice::from_ref(&first)).await), ["applied"]);
        // Other content under its id; another operation under its number; its id under the next number.
        let mut other = first.clone();
        other["deed"] = lid(&id(), "missing", &[]);
        let mut number = other.clone();
        number["id"] = json!(id());
        let mut later = first.clone();
        later["sequence"] = json!(2);
        let reused = device.outcomes(&[other.clone(), number, later, other]).await;
        assert_eq!(fates(&reused), ["refused"; 4]);
        assert!(reused.iter().all(|o| o["problem"]["code"] == "operation_reused" && o["receipt"].is_null()));
        // The next number counted as handled: what comes after it goes on.
        assert_eq!(reused[3]["problem"]["expected"], 3);
        let mut third = device.operation(lid(&id(), "missing", &[]));
        third["sequence"] = json!(3);
        assert_eq!(fates(&device.outcomes(&[third]).await), ["applied"]);
        // The same id from another device is another's.
        let another = Device::new(&seed.manager, &walk.inspection);
        assert_eq!(fates(&another.outcomes(&[first]).await), ["refused"]);
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["entries"].as_array().unwrap().len(), 2);
    }

    async fn a_request_is_bounded_and_its_envelopes_are_read_strictly(world: World) {
        let seed = Seed::plant(&world).await;
        let (_, mut device) = started(&seed).await;
        let _ = device.send(&[]).await.refused(422, "values_invalid");
        let many: Vec<Value> = (0..101).map(|_| device.operation(json!({"kind": "sign"}))).collect();
        let _ = device.send(&many).await.refused(422, "values_invalid");
        let mut odd = many[0].clone();
        odd["colour"] = json!("green");
        let told = device.send(&[many[0].clone(), odd]).await.refused(400, "body_invalid");
        assert_eq!(told["errors"][0]["pointer"], "/operations/1");
        let mut zero = many[0].clone();
        zero["sequence"] = json!(0);
        let _ = device.send(&[zero]).await.refused(400, "body_invalid");
        let office = seed.staff(&world, "olga", "office").await;
        let office = Device { client: office, ..device };
        let _ = office.send(&many[..1]).await.refused(403, "forbidden");
    }

    async fn a_colleague_on_the_same_device_goes_on_with_its_numbers(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let desk = seed.staff(&world, "dan", "desk").await;
        let yard = seed.staff(&world, "ivy", "inspector").await;
        let dan = desk.get("/me").await.expect(200)["id"].as_str().unwrap().to_owned();
        let overridden = json!({"kind": "briefing", "topic": "lid", "input": {"override": {"reason": "no gas aboard"}}});
        let mut first = device.operation(overridden);
        first["author"] = json!(dan);
        let mut second = device.operation(lid(&id(), "in_order", &[]));
        second["author"] = json!(dan);
        // An inspector may not go on without a topic: what the desk did waits for the desk, and nothing is lost.
        device.client = yard.clone();
        let held = device.outcomes(&[first.clone(), second.clone()]).await;
        assert_eq!(fates(&held), ["held_back", "held_back"]);
        assert_eq!((&held[0]["problem"]["code"], &held[0]["problem"]["author"]), (&json!("forbidden"), &json!(dan)));
        device.client = desk.clone();
        assert_eq!(fates(&device.outcomes(&[first]).await), ["applied"]);
        // What a colleague may do is taken from them, and stands in their name.
        device.client = yard.clone();
        assert_eq!(fates(&device.outcomes(&[second]).await), ["applied"]);
        let ivy = yard.get("/me").await.expect(200)["id"].clone();
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["entries"][0]["recorded_by"], ivy);
        // The same without an author is their own, and refused.
        let own = json!({"kind": "briefing", "topic": "lid", "input": {"override": {"reason": "none"}}});
        assert_eq!(device.does(own).await["outcome"], "refused");
    }

    async fn a_session_that_ran_out_costs_a_device_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let login = json!({"email": handsel_tests::MANAGER, "password": handsel_tests::PASSWORD});
        let session = world.anonymous.post("/auth/login", &login).await.expect(200);
        device.client = world.anonymous.with_token(session["access_token"].as_str().unwrap());
        let first = device.operation(lid(&id(), "in_order", &[]));
        assert_eq!(fates(&device.outcomes(std::slice::from_ref(&first)).await), ["applied"]);
        // Weeks later: neither the access token nor the refresh token is good any more.
        world.clock.pass(60 * 86_400);
        let second = device.operation(lid(&id(), "missing", &[]));
        let _ = device.send(&[first.clone(), second.clone()]).await.refused(401, "token_expired");
        let spent = json!({"refresh_token": session["refresh_token"]});
        let _ = world.anonymous.post("/auth/refresh", &spent).await.refused(401, "refresh_invalid");
        device.client = world.manager().await;
        assert_eq!(fates(&device.outcomes(&[first, second]).await), ["already_applied", "applied"]);
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["entries"].as_array().unwrap().len(), 2);
    }

    async fn a_passing_trouble_holds_back_and_loses_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        let (walk, mut device) = started(&seed).await;
        let all: Vec<Value> = (0..3).map(|_| device.operation(lid(&id(), "in_order", &[]))).collect();
        assert_eq!(fates(&device.outcomes(&all[..1]).await), ["applied"]);
        world.execute("ALTER TABLE entry RENAME TO entry_out_of_reach").await;
        let held = device.outcomes(&all[1..]).await;
        assert_eq!(fates(&held), ["held_back", "held_back"]);
        assert!(held.iter().all(|o| o["problem"]["code"] == "not_ready" && o["problem"]["status"] == 503), "{held:?}");
        world.execute("ALTER TABLE entry_out_of_reach RENAME TO entry").await;
        assert_eq!(fates(&device.outcomes(&all).await), ["already_applied", "applied", "applied"]);
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["entries"].as_array().unwrap().len(), 3);
    }

    async fn a_departure_begun_offline_keeps_the_walk_round_it_was_begun_with(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let mut second = handsel_tests::template(&id());
        second["version"] = json!(2);
        let _ = seed.manager.post("/templates", &second).await.expect(201);
        let mut other = handsel_tests::template(&id());
        other["layout"] = json!("moss");
        let _ = seed.manager.post("/templates", &other).await.expect(201);
        let version = u32::try_from(seed.manager.get(&format!("/vehicles/{}", seed.vehicle)).await.expect(200)["version"].as_u64().unwrap()).unwrap();
        let newer = json!({"template": second["id"]});
        let _ = seed.manager.patch(&format!("/vehicles/{}", seed.vehicle), version, &newer).await.expect(200);
        let inspection = id();
        let mut device = Device::new(&seed.manager, &inspection);
        let start = |template: &Value| json!({"kind": "start", "hire": hire, "leg": "departure", "template": template});
        assert_eq!(device.does(start(&other["id"])).await["problem"]["code"], "values_invalid");
        assert_eq!(device.does(start(&json!(seed.template))).await["outcome"], "applied");
        let view = seed.manager.get(&format!("/inspections/{inspection}")).await.expect(200);
        assert_eq!((&view["template"], &view["template_version"]), (&json!(seed.template), &json!(1)));
    }
}
