//! Ledgers under movements that come at once, doubled and repeated after a lost answer.
//!
//! `HANDSEL_LEDGERS` says how many sequences, each on a ledger of its own; `tests/bench/ledgers` runs ten thousand.

use futures_util::future::join_all;
use handsel_tests::{Answer, Seed, id, money, on_each_database};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Sequences on each database where nobody says how many.
const LEDGERS: usize = 48;
/// Of so many hires one is back and owes something; the others are booked, which takes a test far less time.
const ONE_BACK_OF: usize = 8;
/// Most bursts of movements in one sequence.
const BURSTS: usize = 8;

fn ledgers() -> usize {
    std::env::var("HANDSEL_LEDGERS").map_or(LEDGERS, |n| n.parse().unwrap())
}

/// Numbers that follow from a seed.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 33).unwrap() % sides
    }

    fn of<'a>(&mut self, choices: &[&'a str]) -> &'a str {
        choices[self.roll(choices.len())]
    }

    fn movement(&mut self) -> Value {
        let kinds = [
            "hold_placed",
            "hold_extended",
            "captured",
            "captured",
            "captured",
            "released",
            "paid",
            "refunded",
            "repaid",
            "charged_back",
            "written_off",
        ];
        let kind = self.of(&kinds);
        let means = if self.roll(4) == 0 { self.of(&["cash", "transfer", "none"]) } else { "card" };
        let means = if kind == "written_off" { "none" } else { means };
        let amount = i64::try_from(self.roll(9000)).unwrap();
        json!({"id": id(), "kind": kind, "means": means, "amount": money(amount)})
    }
}

/// Every account's sum, from the recorded list alone.
fn replayed(movements: &[Value]) -> (BTreeMap<&'static str, i64>, i64, i64) {
    let mut accounts = BTreeMap::from([("hirer", 0), ("held", 0), ("received", 0), ("written_off", 0)]);
    let (mut placed, mut captured) = (0, 0);
    for movement in movements {
        let minor = movement["amount"]["minor"].as_i64().unwrap();
        let (debit, credit) = match movement["kind"].as_str().unwrap() {
            "hold_placed" | "hold_extended" => ("held", "hirer"),
            "captured" => ("received", "held"),
            "released" | "refunded" => ("hirer", "held"),
            "paid" => ("received", "hirer"),
            "repaid" | "charged_back" => ("hirer", "received"),
            "written_off" => ("written_off", "hirer"),
            other => panic!("{other}"),
        };
        *accounts.get_mut(debit).unwrap() += minor;
        *accounts.get_mut(credit).unwrap() -= minor;
        match movement["kind"].as_str().unwrap() {
            "hold_placed" | "hold_extended" => placed += minor,
            "captured" => captured += minor,
            _ => {}
        }
        assert!(captured <= placed, "{movement}: captured {captured} of {placed}");
        assert!(accounts["held"] >= 0 && accounts["received"] >= 0, "{accounts:?} after {movement}");
    }
    (accounts, placed, captured)
}

on_each_database! {
    async fn movements_at_once_keep_every_ledger_straight(world: World) {
        let seed = Seed::plant(&world).await;
        let mut dice = Dice(20_260_404);
        let (mut recorded, mut asked_in_all) = (0, 0);
        for number in 0..ledgers() {
            world.clock.set("2026-03-28T10:00:00Z");
            let reference = format!("F-{number}");
            // 205.00 is owed by those who came back, and nothing yet by those who only booked.
            let (hire, owed) = if number % ONE_BACK_OF == 0 {
                let hire = seed.back(&world, &reference).await;
                let _ = seed.accept(&hire, "distance").await;
                let _ = seed.accept(&hire, "fuel").await;
                (hire, 20_500)
            } else {
                (seed.hire(&reference).await, 0)
            };
            let path = format!("/hires/{hire}/movements");
            for _ in 0..1 + dice.roll(BURSTS) {
                let some: Vec<(Value, String)> =
                    (0..1 + dice.roll(5)).map(|_| (dice.movement(), id())).collect();
                // Each at once with the others; some twice at once, some again with another key, as after a lost answer.
                let mut asked: Vec<(&Value, String)> = some.iter().map(|(m, key)| (m, key.clone())).collect();
                for (movement, key) in &some {
                    match dice.roll(4) {
                        0 => asked.push((movement, key.clone())),
                        1 => asked.push((movement, id())),
                        _ => {}
                    }
                }
                let answers = join_all(asked.iter().map(|(movement, key)| seed.manager.post_once(&path, key, movement))).await;
                let mut by_key: BTreeMap<&str, &Answer> = BTreeMap::new();
                for ((_, key), answer) in asked.iter().zip(&answers) {
                    assert!([200, 422].contains(&answer.status), "{}", String::from_utf8_lossy(&answer.bytes));
                    if let Some(same) = by_key.insert(key, answer).filter(|s| s.status == 200 && answer.status == 200) {
                        assert!(same.bytes == answer.bytes, "one key, two answers");
                    }
                }
                asked_in_all += asked.len();
                let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
                let movements = ledger["movements"].as_array().unwrap();
                let (accounts, ..) = replayed(movements);
                assert_eq!(accounts.values().sum::<i64>(), 0);
                for (account, minor) in &accounts {
                    assert_eq!(ledger["balances"][account], money(*minor), "{account}");
                }
                // What came in and was given up is never more than what is owed.
                assert!(accounts["received"] + accounts["written_off"] <= owed, "{accounts:?}");
                let mut ids: Vec<&str> = movements.iter().map(|m| m["id"].as_str().unwrap()).collect();
                let count = ids.len();
                ids.sort_unstable();
                ids.dedup();
                assert_eq!(ids.len(), count, "a movement stands twice");
                for (movement, _) in &some {
                    let told = asked.iter().zip(&answers).any(|((m, _), a)| m["id"] == movement["id"] && a.status == 200);
                    assert_eq!(ids.contains(&movement["id"].as_str().unwrap()), told, "{movement}");
                }
            }
            let ledger = seed.manager.get(&format!("/hires/{hire}/ledger")).await.expect(200);
            recorded += ledger["movements"].as_array().unwrap().len();
        }
        println!("{} sequences, {asked_in_all} movements asked for, {recorded} recorded", ledgers());
        assert!(recorded > ledgers(), "{recorded}: most was refused");
    }
}
