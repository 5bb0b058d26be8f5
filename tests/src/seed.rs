use crate::client::{Answer, Client};
use crate::world::{World, id};
use crate::{SIGNATURE, data};
use serde_json::{Value, json};

/// A fleet of one vehicle at one depot, filled in by the manager.
#[derive(Clone, Debug)]
pub struct Seed {
    pub manager: Client,
    pub depot: String,
    pub template: String,
    pub tariff: String,
    pub vehicle: String,
}

impl Seed {
    pub async fn plant(world: &World) -> Self {
        Self::by(world.manager().await).await
    }

    /// Filled in by a manager who is signed in.
    pub async fn by(manager: Client) -> Self {
        let (depot, template, tariff, vehicle) = (id(), id(), id(), id());
        made(&manager.post("/depots", &data::depot(&depot, "North", "Europe/London")).await);
        made(&manager.post("/templates", &data::template(&template)).await);
        made(&manager.post("/tariffs", &data::tariff(&tariff)).await);
        let bracken = data::vehicle(&vehicle, "TEST 1", &depot, &template, &tariff);
        made(&manager.post("/vehicles", &bracken).await);
        Self { manager, depot, template, tariff, vehicle }
    }

    /// Somebody of the one depot, signed in.
    pub async fn staff(&self, world: &World, name: &str, role: &str) -> Client {
        made(&self.manager.post("/staff", &data::staff(&id(), name, role, Some(&self.depot))).await);
        world.sign_in(&format!("{name}@fernway.example")).await
    }

    /// A booked hire of the one vehicle.
    pub async fn hire(&self, reference: &str) -> String {
        let hire = id();
        made(&self.manager.post("/hires", &data::hire(&hire, reference, &self.depot, &self.vehicle)).await);
        hire
    }

    /// The departure of a hire, started.
    pub async fn departure(&self, hire: &str) -> Walker {
        Walker::start(&self.manager, hire, "departure").await
    }

    /// A hire that went out with 10 000 km and a full tank, everything shown, acknowledged and signed.
    pub async fn out(&self, reference: &str) -> String {
        let hire = self.hire(reference).await;
        let walk = self.departure(&hire).await;
        walk.usual_departure().await;
        walk.brief("lid").await;
        walk.brief("fill_up").await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        hire
    }

    /// A hire that came back in time, 500 km beyond its allowance (150.00) and with a quarter of a tank missing
    /// (20 litres at 2.00 and 15.00: 55.00).
    pub async fn back(&self, world: &World, reference: &str) -> String {
        let hire = self.out(reference).await;
        world.clock.set("2026-04-04T12:30:00Z");
        let walk = Walker::start(&self.manager, &hire, "return").await;
        walk.usual_return().await;
        walk.both_sign().await;
        let _ = walk.sign().await.expect(200);
        hire
    }

    /// Accepts a line.
    pub async fn accept(&self, hire: &str, line: &str) -> Value {
        let decision = json!({"id": id(), "line": line, "verdict": "accept"});
        self.manager.post_once(&format!("/hires/{hire}/decisions"), id(), &decision).await.expect(200)
    }
}

#[track_caller]
fn made(answer: &Answer) {
    let _ = answer.expect(201);
}

/// Somebody on a walk-round.
#[derive(Clone, Debug)]
pub struct Walker {
    pub client: Client,
    pub inspection: String,
    pub path: String,
}

impl Walker {
    pub async fn start(client: &Client, hire: &str, leg: &str) -> Self {
        let inspection = id();
        let asked = json!({"id": inspection, "leg": leg});
        made(&client.post(&format!("/hires/{hire}/inspections"), &asked).await);
        Self { client: client.clone(), path: format!("/inspections/{inspection}"), inspection }
    }

    pub async fn answer(&self, checkpoint: &str, answer: Value) -> Answer {
        let entry = json!({"checkpoint": checkpoint, "answer": answer});
        self.client.put(&format!("{}/entries/{}", self.path, id()), &entry).await
    }

    pub async fn km(&self, value: &str) -> Answer {
        self.answer("odometer", json!({"kind": "odometer", "value": value, "unit": "km"})).await
    }

    pub async fn fuel(&self, part: u32) -> Answer {
        self.answer("fuel", json!({"kind": "fuel", "level": {"gauge": {"part": part, "of": 8}}})).await
    }

    pub async fn lid(&self, state: &str) -> Answer {
        self.answer("hob_lid", json!({"kind": "condition", "state": state})).await
    }

    pub async fn usual_departure(&self) {
        made(&self.km("10000").await);
        made(&self.fuel(8).await);
        made(&self.lid("in_order").await);
        let hose = json!({"kind": "count", "pieces": 1});
        made(&self.answer("hose", hose).await);
        self.hand_over("2026-03-28T14:05:00Z").await;
    }

    pub async fn usual_return(&self) {
        made(&self.km("11900").await);
        made(&self.fuel(6).await);
        made(&self.lid("in_order").await);
        let hose = json!({"kind": "count", "pieces": 1});
        made(&self.answer("hose", hose).await);
        self.hand_over("2026-04-04T12:30:00Z").await;
    }

    pub async fn hand_over(&self, at: &str) {
        let noted = self.client.put(&format!("{}/handover", self.path), &json!({"handed_over_at": at})).await;
        let _ = noted.expect(200);
    }

    /// Shows a topic and has it acknowledged.
    pub async fn brief(&self, topic: &str) {
        let told = json!({"shown_at": "2026-03-28T13:50:00Z", "acknowledged_at": "2026-03-28T13:51:00Z"});
        let _ = self.client.put(&format!("{}/briefings/{topic}", self.path), &told).await.expect(200);
    }

    pub async fn both_sign(&self) {
        for (role, name) in [("hirer", "Kim Hirer"), ("staff", "Ada")] {
            let strokes: Value = serde_json::from_str(SIGNATURE).expect("strokes");
            let drawn = json!({"name": name, "strokes": strokes, "signed_at": "2026-03-28T14:04:00Z"});
            let _ = self.client.put(&format!("{}/signatures/{role}", self.path), &drawn).await.expect(200);
        }
    }

    pub async fn sign(&self) -> Answer {
        self.client.post_once(&format!("{}/sign", self.path), id(), &json!({})).await
    }
}
