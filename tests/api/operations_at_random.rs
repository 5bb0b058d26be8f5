//! The rules of synchronising over the wire: devices whose requests and answers are lost, doubled and out of order.

use crate::operations::{Device, lid};
use handsel_tests::{Seed, World, id, on_each_database};
use serde_json::Value;
use std::collections::BTreeMap;

/// Sequences on each database.
const SEQUENCES: u64 = 150;
/// Sequences that share an inspection, so that none grows too long to read.
const TOGETHER: u64 = 10;

/// Numbers that follow from a seed.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

/// A device with what it recorded and what it was told of it.
struct Sender {
    device: Device,
    recorded: Vec<Value>,
    told: BTreeMap<String, String>,
    entries: Vec<String>,
}

impl Sender {
    fn new(device: Device) -> Self {
        Self { device, recorded: Vec::new(), told: BTreeMap::new(), entries: Vec::new() }
    }

    fn record(&mut self, dice: &mut Dice) {
        let entry = id();
        // One in five cannot be right, and is refused whenever it comes.
        let wrong = dice.roll(5) == 0;
        let operation = self.device.operation(lid(&entry, if wrong { "broken" } else { "in_order" }, &[]));
        self.recorded.push(operation);
        if !wrong {
            self.entries.push(entry);
        }
    }

    fn unsent(&self) -> Vec<Value> {
        self.recorded.iter().filter(|o| !self.told.contains_key(o["id"].as_str().unwrap())).cloned().collect()
    }

    fn hear(&mut self, outcomes: &[Value]) {
        for outcome in outcomes {
            let fate = match outcome["outcome"].as_str().unwrap() {
                "held_back" => continue,
                "already_applied" => "applied",
                fate => fate,
            };
            let before = self.told.insert(outcome["id"].as_str().unwrap().to_owned(), fate.to_owned());
            assert!(before.is_none_or(|before| before == fate), "{outcome}");
        }
    }

    /// Sends some of what is unsent, in some order, once or twice; the answer is heard, late, or never.
    async fn send(&mut self, dice: &mut Dice, late: &mut Vec<Vec<Value>>) {
        let mut some: Vec<Value> = self.unsent().into_iter().skip(dice.roll(3)).take(1 + dice.roll(4)).collect();
        if some.is_empty() {
            return;
        }
        match dice.roll(6) {
            0 => some.reverse(),
            1 => some.extend(some.clone()),
            _ => {}
        }
        let outcomes = if dice.roll(5) == 0 {
            let (one, _) = futures_util::join!(self.device.outcomes(&some), self.device.outcomes(&some));
            one
        } else {
            self.device.outcomes(&some).await
        };
        match dice.roll(3) {
            0 => late.push(outcomes),
            1 => {}
            _ => self.hear(&outcomes),
        }
    }
}

async fn sequence(world: &World, seed: &Seed, inspection: &str, dice: &mut Dice) -> Vec<String> {
    let colleague = world.sign_in("ivy@fernway.example").await;
    let mut senders =
        [Sender::new(Device::new(&seed.manager, inspection)), Sender::new(Device::new(&colleague, inspection))];
    let mut late: [Vec<Vec<Value>>; 2] = Default::default();
    for _ in 0..10 {
        let which = dice.roll(2);
        let (sender, late) = (&mut senders[which], &mut late[which]);
        match dice.roll(4) {
            0 if !late.is_empty() => {
                let answer = late.swap_remove(dice.roll(late.len()));
                sender.hear(&answer);
            }
            0 | 1 => sender.record(dice),
            _ => {
                sender.record(dice);
                sender.send(dice, late).await;
            }
        }
    }
    let mut entries = Vec::new();
    for (mut sender, late) in senders.into_iter().zip(late) {
        late.iter().for_each(|answer| sender.hear(answer));
        let rest = sender.unsent();
        if !rest.is_empty() {
            let outcomes = sender.device.outcomes(&rest).await;
            sender.hear(&outcomes);
        }
        assert!(sender.unsent().is_empty(), "one good connection is enough");
        entries.extend(sender.entries);
    }
    entries
}

on_each_database! {
    async fn both_ends_come_to_the_same_whatever_the_connection_does(world: World) {
        let seed = Seed::plant(&world).await;
        let _ = seed.staff(&world, "ivy", "inspector").await;
        let (mut sent, mut dice) = (0, Dice(0x9E37_79B9_7F4A_7C15));
        for group in 0..SEQUENCES / TOGETHER {
            let walk = seed.departure(&seed.hire(&format!("F-{group}")).await).await;
            let mut wanted = Vec::new();
            for _ in 0..TOGETHER {
                wanted.extend(sequence(&world, &seed, &walk.inspection, &mut dice).await);
            }
            let view = seed.manager.get(&walk.path).await.expect(200);
            let mut there: Vec<String> =
                view["entries"].as_array().unwrap().iter().map(|e| e["id"].as_str().unwrap().to_owned()).collect();
            there.sort();
            wanted.sort();
            assert_eq!(there, wanted);
            let asked = format!("SELECT COUNT(*) FROM operation WHERE refusal IS NULL AND inspection_id = {}", literal(&world, &walk.inspection));
            assert_eq!(world.count(&asked).await, i64::try_from(wanted.len()).unwrap());
            sent += wanted.len();
        }
        assert!(sent > 500, "only {sent} were applied");
        // Every device's numbers are all there.
        let gaps = world.count("SELECT COUNT(*) FROM device WHERE handled <> (SELECT COUNT(*) FROM operation WHERE device_id = device.id)").await;
        assert_eq!(gaps, 0);
    }
}

/// An id as each database writes it in a statement.
fn literal(world: &World, id: &str) -> String {
    if world.database_url.starts_with("sqlite") { format!("x'{}'", id.replace('-', "")) } else { format!("'{id}'") }
}
