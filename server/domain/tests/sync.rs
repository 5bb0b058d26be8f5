//! The rules of synchronising, under everything a bad connection does: whatever is lost, doubled, late or out of order,
//! in whichever direction, both ends come to the same, and every operation is applied once, in its device's order.
//!
//! The server of this model decides by `admit`, which is what the real one decides by; the device does what the app for
//! the browser does: it keeps what it recorded until it is told what became of it.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use handsel_domain::ids::{DeviceId, OperationId};
use handsel_domain::sync::{Admit, Turn, admit};
use proptest::prelude::*;
use std::collections::BTreeMap;
use uuid::Uuid;

/// What became of an operation, as it is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    Applied,
    Refused,
    Reused,
    HeldBack { expected: u32 },
}

#[derive(Default)]
struct Server {
    handled: BTreeMap<DeviceId, u32>,
    known: BTreeMap<OperationId, (Turn, Told)>,
    /// Every operation in the order it was applied.
    applied: Vec<Turn>,
}

/// A deed that is refused whenever it is looked at: decided by what it is, as the real ones are.
fn refuses(content: &str) -> bool {
    content.ends_with('0')
}

impl Server {
    fn one(&mut self, asked: &Turn) -> Told {
        let handled = self.handled.get(&asked.device).copied().unwrap_or(0);
        let known = self.known.get(&asked.id);
        let decided = admit(handled, known.map(|(turn, _)| turn), asked);
        let told = match decided {
            Admit::Again => return known.unwrap().1,
            Admit::Early { expected } => return Told::HeldBack { expected },
            Admit::Reused { .. } => Told::Reused,
            Admit::Apply if refuses(&asked.content) => Told::Refused,
            Admit::Apply => Told::Applied,
        };
        if decided == Admit::Apply {
            self.known.insert(asked.id, (asked.clone(), told));
            if told == Told::Applied {
                self.applied.push(asked.clone());
            }
        }
        self.handled.insert(asked.device, decided.then_handled(handled));
        told
    }

    /// A whole request; one that is cut short was killed between two operations.
    fn take(&mut self, request: &[Turn], cut: usize) -> Vec<(OperationId, Told)> {
        let mut answers = Vec::new();
        let mut halted = None;
        for asked in request.iter().take(cut) {
            let told = halted.unwrap_or_else(|| self.one(asked));
            if let Told::HeldBack { .. } = told {
                halted = Some(told);
            }
            answers.push((asked.id, told));
        }
        answers
    }
}

struct Device {
    id: DeviceId,
    recorded: Vec<Turn>,
    told: BTreeMap<OperationId, Told>,
}

impl Device {
    fn new(id: u128) -> Self {
        Self { id: DeviceId(Uuid::from_u128(id)), recorded: Vec::new(), told: BTreeMap::new() }
    }

    fn record(&mut self, salt: u8) {
        let sequence = u32::try_from(self.recorded.len() + 1).unwrap();
        let id = OperationId(Uuid::from_u128(self.id.0.as_u128() * 1000 + u128::from(sequence)));
        self.recorded.push(Turn { device: self.id, sequence, id, content: format!("{sequence}-{}", salt % 5) });
    }

    fn unsent(&self) -> Vec<Turn> {
        self.recorded.iter().filter(|turn| !self.told.contains_key(&turn.id)).cloned().collect()
    }

    fn hear(&mut self, answers: &[(OperationId, Told)]) {
        for (id, told) in answers {
            if let Told::HeldBack { .. } = told {
                continue;
            }
            let before = self.told.insert(*id, *told);
            assert!(before.is_none_or(|before| before == *told), "told {before:?}, then {told:?}");
        }
    }
}

/// What happens next.
#[derive(Clone, Debug)]
enum Step {
    Record {
        device: usize,
        salt: u8,
    },
    /// Some of what is unsent goes out: where from, how many, and whether in another order or twice.
    Send {
        device: usize,
        from: usize,
        count: usize,
        shuffle: u8,
    },
    /// A request on its way reaches the server, which may be killed in the middle. It may stay on its way as well: sent
    /// twice.
    Deliver {
        which: usize,
        cut: Option<usize>,
        again: bool,
    },
    LoseRequest {
        which: usize,
    },
    /// An answer on its way reaches its device.
    Hear {
        which: usize,
        again: bool,
    },
    LoseAnswer {
        which: usize,
    },
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let step = prop_oneof![
        4 => (0_usize..2, any::<u8>()).prop_map(|(device, salt)| Step::Record { device, salt }),
        4 => (0_usize..2, 0_usize..3, 1_usize..6, any::<u8>())
            .prop_map(|(device, from, count, shuffle)| Step::Send { device, from, count, shuffle }),
        4 => (any::<usize>(), proptest::option::weighted(0.2, 0_usize..5), proptest::bool::weighted(0.3))
            .prop_map(|(which, cut, again)| Step::Deliver { which, cut, again }),
        1 => any::<usize>().prop_map(|which| Step::LoseRequest { which }),
        3 => (any::<usize>(), proptest::bool::weighted(0.3)).prop_map(|(which, again)| Step::Hear { which, again }),
        1 => any::<usize>().prop_map(|which| Step::LoseAnswer { which }),
    ];
    proptest::collection::vec(step, 0..60)
}

/// Takes one of what is on its way, or a copy of it.
fn pick<T: Clone>(on_its_way: &mut Vec<T>, which: usize, keep: bool) -> Option<T> {
    if on_its_way.is_empty() {
        return None;
    }
    let place = which % on_its_way.len();
    Some(if keep { on_its_way.get(place).unwrap().clone() } else { on_its_way.remove(place) })
}

type Answers = Vec<(OperationId, Told)>;

fn run(steps: Vec<Step>) -> (Server, [Device; 2]) {
    let mut server = Server::default();
    let mut devices = [Device::new(1), Device::new(2)];
    let mut requests: Vec<(usize, Vec<Turn>)> = Vec::new();
    let mut answers: Vec<(usize, Answers)> = Vec::new();
    for step in steps {
        match step {
            Step::Record { device, salt } => devices.get_mut(device).unwrap().record(salt),
            Step::Send { device, from, count, shuffle } => {
                let unsent = devices.get(device).unwrap().unsent();
                let mut some: Vec<Turn> = unsent.into_iter().skip(from).take(count).collect();
                match shuffle % 8 {
                    0 => some.reverse(),
                    1 => some.extend(some.clone()),
                    2 if !some.is_empty() => some.rotate_left(1),
                    _ => {}
                }
                requests.push((device, some));
            }
            Step::Deliver { which, cut, again } => {
                if let Some((device, request)) = pick(&mut requests, which, again) {
                    let told = server.take(&request, cut.unwrap_or(usize::MAX));
                    // A server that is killed answers nothing, and remembers what it had committed.
                    if cut.is_none() {
                        answers.push((device, told));
                    }
                }
            }
            Step::LoseRequest { which } => {
                pick(&mut requests, which, false);
            }
            Step::Hear { which, again } => {
                if let Some((device, told)) = pick(&mut answers, which, again) {
                    devices.get_mut(device).unwrap().hear(&told);
                }
            }
            Step::LoseAnswer { which } => {
                pick(&mut answers, which, false);
            }
        }
    }
    // The connection holds at last: whatever was still on its way arrives late, and what is unsent is sent.
    for (device, request) in requests {
        let told = server.take(&request, usize::MAX);
        devices.get_mut(device).unwrap().hear(&told);
    }
    for (device, told) in answers {
        devices.get_mut(device).unwrap().hear(&told);
    }
    for device in &mut devices {
        let told = server.take(&device.unsent(), usize::MAX);
        device.hear(&told);
    }
    (server, devices)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, ..ProptestConfig::default() })]

    #[test]
    fn both_ends_come_to_the_same_and_each_operation_is_applied_once(steps in steps()) {
        let (server, devices) = run(steps);
        for device in &devices {
            prop_assert!(device.unsent().is_empty(), "one good connection is enough");
            let recorded: Vec<&Turn> = device.recorded.iter().filter(|t| !refuses(&t.content)).collect();
            let applied: Vec<&Turn> = server.applied.iter().filter(|t| t.device == device.id).collect();
            prop_assert_eq!(applied, recorded, "each once, in the device's order");
            let count = u32::try_from(device.recorded.len()).unwrap();
            prop_assert_eq!(server.handled.get(&device.id).copied().unwrap_or(0), count);
            for turn in &device.recorded {
                let wanted = if refuses(&turn.content) { Told::Refused } else { Told::Applied };
                prop_assert_eq!(device.told.get(&turn.id), Some(&wanted));
                prop_assert_eq!(&server.known.get(&turn.id).unwrap().1, &wanted);
            }
        }
    }

    /// Whatever is sent, also by a device that makes up ids and numbers: no id is applied twice, and no number.
    #[test]
    fn nothing_is_applied_twice_whatever_is_sent(sent in proptest::collection::vec((1_u128..3, 1_u32..6, 1_u128..8, 1_u8..4), 0..60)) {
        let mut server = Server::default();
        for (device, sequence, id, content) in sent {
            let device = DeviceId(Uuid::from_u128(device));
            let before = server.handled.get(&device).copied().unwrap_or(0);
            let asked = Turn { device, sequence, id: OperationId(Uuid::from_u128(id)), content: content.to_string() };
            let told = server.one(&asked);
            let after = server.handled.get(&device).copied().unwrap_or(0);
            prop_assert!(after == before || (after == before + 1 && sequence == after), "numbers go up one by one");
            prop_assert_eq!(server.one(&asked), told, "asked again, told alike");
        }
        let mut ids: Vec<OperationId> = server.applied.iter().map(|t| t.id).collect();
        let mut numbers: Vec<(DeviceId, u32)> = server.applied.iter().map(|t| (t.device, t.sequence)).collect();
        let count = ids.len();
        ids.sort();
        ids.dedup();
        numbers.sort();
        numbers.dedup();
        prop_assert_eq!((ids.len(), numbers.len()), (count, count));
    }
}
