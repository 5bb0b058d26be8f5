//! Hires of the demonstration, in every state the work can be in.

use super::Demo;
use super::clock::last_clock_change;
use super::fleet::Fleet;
use super::walk::{NewMark, Plan, Scene, walk};
use crate::app::hirer::{self, Follower};
use crate::app::input::{NewDecision, NewDispute, NewHire, NewLink, NewMovement};
use crate::app::record::{Driver, Vehicle};
use crate::app::{Caller, Idempotency, Refusal, comparison, decisions, hires, ledger, links, settlement};
use handsel_domain::case::{OutsideExcess, Verdict};
use handsel_domain::charges::Comparison;
use handsel_domain::deposit::{Means, MovementKind};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{DecisionId, DisputeId, DriverId, HireId, LinkId, MovementId};
use handsel_domain::inspection::{Answer, CassetteState, Condition, CylinderReading, Depth, Leg, Level};
use handsel_domain::money::{Currency, Money};
use handsel_domain::tariff::RuleKind;
use handsel_domain::text::Lang;
use handsel_domain::time::{Instant, Zone};
use std::collections::BTreeMap;

/// One hire to be laid out.
pub(super) struct Booking<'a> {
    pub(super) reference: &'static str,
    pub(super) vehicle: &'static str,
    pub(super) hirer: &'static str,
    pub(super) from: Instant,
    pub(super) to: Instant,
    pub(super) by: &'a Caller,
    pub(super) means: Means,
    pub(super) excess: i64,
    pub(super) new_to_layout: bool,
}

pub(super) struct Maker<'a> {
    pub(super) demo: &'a Demo,
    pub(super) fleet: &'a Fleet,
    pub(super) zone: Zone,
}

pub(super) async fn make(demo: &Demo, fleet: &Fleet) -> Result<(), Refusal> {
    let m = Maker { demo, fleet, zone: fleet.harbour.zone };
    m.clean_and_settled().await?;
    m.everything_at_once().await?;
    m.hob_lid().await?;
    m.no_baseline().await?;
    m.hirer_absent().await?;
    m.decided_not_settled().await?;
    m.out_and_booked().await?;
    m.lakeside().await
}

impl Maker<'_> {
    fn at(&self, days: i64, hour: u32) -> Instant {
        self.demo.at(self.zone, days, hour, 0)
    }

    pub(super) fn booking(
        &self,
        reference: &'static str,
        vehicle: &'static str,
        hirer: &'static str,
        days: (i64, i64),
    ) -> Booking<'_> {
        Booking {
            reference,
            vehicle,
            hirer,
            from: self.at(days.0, 14),
            to: self.at(days.1, 10),
            by: &self.fleet.desk,
            means: Means::Card,
            excess: 100_000,
            new_to_layout: false,
        }
    }

    pub(super) fn scene<'b>(
        &'b self,
        by: &'b Caller,
        vehicle: (&'b Vehicle, &'static str),
        hire: HireId,
        leg: Leg,
        at: Instant,
    ) -> Scene<'b> {
        Scene { demo: self.demo, by, vehicle: vehicle.0, layout: vehicle.1, hire, leg, handed_over: at }
    }

    /// Books a hire and takes its deposit, some days ahead.
    pub(super) async fn book(&self, b: &Booking<'_>) -> Result<HireId, Refusal> {
        let (vehicle, _) = self.fleet.vehicle(b.vehicle)?;
        let euro = vehicle.depot == self.fleet.lakeside.id;
        let currency = if euro { Currency::Eur } else { Currency::Gbp };
        self.demo.clock.set(b.from.plus_seconds(-20 * 86_400).min(self.demo.now));
        let asked = NewHire {
            id: HireId(self.demo.id()),
            reference: b.reference.to_owned(),
            depot: vehicle.depot,
            vehicle: vehicle.id,
            tariff: None,
            agreed_departure: b.from,
            agreed_return: b.to,
            excess: Money::new(b.excess, currency),
            outside_excess: OutsideExcess {
                kinds: Vec::new(),
                panels: Vec::new(),
                groups: ["roof", "underside", "awning"].map(ToOwned::to_owned).to_vec(),
            },
            deposit: Money::new(150_000, currency),
            deposit_means: b.means,
            new_to_layout: b.new_to_layout,
            pets: false,
            trailer: false,
            trips: Vec::new(),
            drivers: vec![Driver {
                id: DriverId(self.demo.id()),
                name: b.hirer.to_owned(),
                email: format!("{}@example.com", b.hirer.to_lowercase().replace(' ', ".")),
                phone: "01632 960123".to_owned(),
                lead: true,
            }],
        };
        Ok(hires::create(&self.demo.app, b.by, asked).await?.value.id)
    }

    pub(super) async fn movement(
        &self,
        by: &Caller,
        hire: HireId,
        kind: MovementKind,
        means: Means,
        minor: i64,
        currency: Currency,
    ) -> Result<(), Refusal> {
        let now = self.demo.app.now();
        let ends = (kind == MovementKind::HoldPlaced && means == Means::Card).then(|| now.plus_seconds(28 * 86_400));
        let asked = NewMovement {
            id: MovementId(self.demo.id()),
            kind,
            means,
            amount: Money::new(minor, currency),
            reference: Some(format!("DEMO-{}", self.demo.id().simple()).chars().take(17).collect()),
            note: None,
            payer: None,
            hold_ends_at: ends,
        };
        ledger::post(&self.demo.app, by, hire, self.once(), asked).await?;
        Ok(())
    }

    fn once(&self) -> Idempotency {
        let key = self.demo.id().to_string();
        Idempotency { digest: key.clone(), key }
    }

    /// Departs and comes back by two plans.
    async fn round(&self, b: &Booking<'_>, back: Instant, out: Plan, home: Plan) -> Result<HireId, Refusal> {
        let hire = self.book(b).await?;
        let vehicle = self.fleet.vehicle(b.vehicle)?;
        self.demo.clock.set(b.from.plus_seconds(-3_600));
        self.movement(b.by, hire, MovementKind::HoldPlaced, b.means, 150_000, Currency::Gbp).await?;
        let walked =
            walk(&self.scene(b.by, vehicle, hire, Leg::Departure, b.from), Plan { hirer: b.hirer, ..out }).await?;
        let scene = self.scene(&self.fleet.yard, vehicle, hire, Leg::Return, back);
        walk(&scene, Plan { hirer: b.hirer, departed: walked.seen, ..home }).await?;
        Ok(hire)
    }

    async fn decide(&self, hire: HireId, line: &str, verdict: Verdict, reason: Option<&str>) -> Result<(), Refusal> {
        let asked = NewDecision {
            id: DecisionId(self.demo.id()),
            line: line.to_owned(),
            verdict,
            amount: None,
            reason: reason.map(ToOwned::to_owned),
        };
        decisions::decide(&self.demo.app, &self.fleet.office, hire, self.once(), asked, Lang::En).await?;
        Ok(())
    }

    async fn compared(&self, hire: HireId) -> Result<Comparison, Refusal> {
        comparison::read(&self.demo.app, &self.fleet.office, hire, Lang::En).await
    }

    /// Nothing changed; the hold was released and the settlement closed.
    async fn clean_and_settled(&self) -> Result<(), Refusal> {
        let b = self.booking("FW-2041", "Sorrel", "Ada Linden", (-40, -33));
        let out = Plan { odometer: 48_210, ..Plan::default() };
        let home = Plan { odometer: 49_020, ..Plan::default() };
        let hire = self.round(&b, b.to.plus_seconds(-1_800), out, home).await?;
        self.demo.clock.set(b.to.plus_seconds(86_400));
        self.movement(&self.fleet.office, hire, MovementKind::Released, Means::Card, 150_000, Currency::Gbp).await?;
        settlement::settle(&self.demo.app, &self.fleet.office, hire, self.once(), Lang::En).await?;
        Ok(())
    }

    /// Distance, lateness over a clock change, fuel, gas, kit, a grown mark, new marks under and over the caps.
    async fn everything_at_once(&self) -> Result<(), Refusal> {
        let mut b = self.booking("FW-2057", "Bramble", "Bertil Ash", (-17, -7));
        if let Some(change) = last_clock_change(self.zone, self.demo.now) {
            (b.from, b.to) = (change.plus_seconds(-10 * 86_400), change);
        }
        let back = b.to.plus_seconds(3 * 3_600 + 600);
        let out = Plan {
            odometer: 31_500,
            marks: vec![NewMark {
                panel: "nearside_wall",
                kind: "scratch",
                size_mm: 110,
                viewpoint: "nearside_rear",
                at: (63, 57),
                depth: Depth::Surface,
                note: Some("below the stripe, behind the door"),
            }],
            ..Plan::default()
        };
        let hire = self.book(&b).await?;
        let vehicle = self.fleet.vehicle(b.vehicle)?;
        self.demo.clock.set(b.from.plus_seconds(-3_600));
        self.movement(b.by, hire, MovementKind::HoldPlaced, b.means, 150_000, Currency::Gbp).await?;
        let scene = self.scene(b.by, vehicle, hire, Leg::Departure, b.from);
        let walked = walk(&scene, Plan { hirer: b.hirer, ..out }).await?;
        let hundredths = |n| Exact::scaled(n, 2);
        let home = Plan {
            odometer: 33_345,
            hirer: b.hirer,
            marked_pictures: true,
            sightings: walked.marks.iter().map(|m| (*m, 420)).collect(),
            answers: BTreeMap::from([
                ("fuel", Some(Answer::Fuel { level: Level::Gauge { part: 5, of: 8 } })),
                (
                    "cylinder_1",
                    Some(Answer::Cylinder(CylinderReading {
                        gross_kg: hundredths(1_195),
                        tare_kg: hundredths(910),
                        net_fill_kg: Exact::whole(6),
                        half_width_kg: hundredths(5),
                    })),
                ),
                ("cassette", Some(Answer::Cassette { state: CassetteState::PartFull, dosed: false })),
                ("clean_inside", Some(Answer::Cleanliness { grade: "dirty".into() })),
                ("outdoor_chairs", Some(Answer::Count { pieces: 2 })),
                ("hose", Some(Answer::Count { pieces: 0 })),
            ]),
            marks: vec![
                new_mark("rear_wall", "dent", 240, "rear", (61, 49), Depth::Deformed),
                new_mark("rear_wall", "scratch", 180, "rear", (50, 60), Depth::ThroughFinish),
                new_mark("offside_wall", "scratch", 300, "offside_rear", (66, 45), Depth::ThroughFinish),
                new_mark("offside_skirt", "scratch", 18, "offside_front", (50, 75), Depth::Surface),
            ],
            ..Plan::default()
        };
        walk(&self.scene(&self.fleet.yard, vehicle, hire, Leg::Return, back), home).await?;
        Ok(())
    }

    /// The glass lid shattered, and the hirer was never shown what breaks it.
    async fn hob_lid(&self) -> Result<(), Refusal> {
        let mut b = self.booking("FW-2063", "Hawthorn", "Celia Reed", (-12, -5));
        b.new_to_layout = true;
        let out = Plan {
            odometer: 22_480,
            overridden: vec![("hob_oven", "hirer's ferry was leaving, promised to read it on board")],
            ..Plan::default()
        };
        let home = Plan {
            odometer: 23_310,
            pictures: BTreeMap::from([("kitchen", "kitchen-back-shattered")]),
            answers: BTreeMap::from([("hob_lid", Some(Answer::Condition { state: Condition::NeedsAttention }))]),
            marks: vec![new_mark("hob_lid", "shattered", 460, "kitchen", (40, 40), Depth::Through)],
            ..Plan::default()
        };
        self.round(&b, b.to.plus_seconds(600), out, home).await?;
        Ok(())
    }

    /// Departure forgot the fuel gauge. The return's photograph of it is the departure's of the instruments again: the
    /// one photograph of the demonstration that was handed in twice. The line rests on no baseline and charges nothing
    /// either way.
    async fn no_baseline(&self) -> Result<(), Refusal> {
        let b = self.booking("FW-2068", "Meadowsweet", "Dorian Holm", (-10, -3));
        let out = Plan { odometer: 61_020, answers: BTreeMap::from([("fuel", None)]), ..Plan::default() };
        let home = Plan {
            odometer: 62_190,
            again: Some(("fuel", "cab_dash")),
            answers: BTreeMap::from([
                ("fuel", Some(Answer::Fuel { level: Level::Gauge { part: 2, of: 8 } })),
                ("clean_inside", Some(Answer::Cleanliness { grade: "lived_in".into() })),
            ]),
            ..Plan::default()
        };
        let hire = self.round(&b, b.to, out, home).await?;
        self.demo.clock.set(b.to.plus_seconds(86_400));
        self.dispute(hire, "We swept it before we drove back, and nobody looked while we were there.").await
    }

    /// The hirer disputes what cleaning comes to, by their own link.
    async fn dispute(&self, hire: HireId, words: &str) -> Result<(), Refusal> {
        let app = &self.demo.app;
        let compared = self.compared(hire).await?;
        let Some(line) = compared.lines.iter().find(|l| l.rule == RuleKind::Cleanliness && !l.if_charged.is_zero())
        else {
            return Ok(());
        };
        let asked = NewLink { id: LinkId(self.demo.id()), lang: Lang::En, mail: false };
        let made = links::make(app, &self.fleet.office, hire, asked).await?;
        let follower = Follower { link: made.link };
        let raised = NewDispute {
            id: DisputeId(self.demo.id()),
            line: line.key.clone(),
            words: words.to_owned(),
            photos: Vec::new(),
        };
        hirer::dispute(app, &follower, raised, Lang::En).await?;
        Ok(())
    }

    /// The bank keeps a hold until the day after tomorrow.
    async fn lapses_soon(&self, hire: HireId) -> Result<(), Refusal> {
        self.demo.clock.set(self.demo.now);
        let asked = NewMovement {
            id: MovementId(self.demo.id()),
            kind: MovementKind::HoldExtended,
            means: Means::Card,
            amount: Money::new(0, Currency::Gbp),
            reference: None,
            note: Some("the bank extends no longer than this".to_owned()),
            payer: None,
            hold_ends_at: Some(self.demo.now.plus_seconds(2 * 86_400)),
        };
        ledger::post(&self.demo.app, &self.fleet.office, hire, self.once(), asked).await?;
        Ok(())
    }

    /// Keys in the drop box at night; waste water left in.
    async fn hirer_absent(&self) -> Result<(), Refusal> {
        let b = self.booking("FW-2071", "Tansy", "Edda Marsh", (-9, -2));
        let out = Plan { odometer: 40_777, ..Plan::default() };
        let full = Level::Percent { value: Exact::whole(60), half_width: Exact::whole(10) };
        let home = Plan {
            odometer: 41_460,
            absent: Some("keys left in the drop box before opening time"),
            answers: BTreeMap::from([
                ("water_waste", Some(Answer::Water { level: full, drained: false })),
                ("keys", Some(Answer::Keys { pieces: 1 })),
            ]),
            ..Plan::default()
        };
        let hire = self.round(&b, b.to.plus_seconds(-4 * 3_600), out, home).await?;
        self.lapses_soon(hire).await
    }

    /// Every line decided; the deposit is still held.
    async fn decided_not_settled(&self) -> Result<(), Refusal> {
        let b = self.booking("FW-2060", "Juniper", "Falk Brook", (-15, -8));
        let out = Plan { odometer: 15_900, ..Plan::default() };
        let home = Plan {
            odometer: 17_060,
            answers: BTreeMap::from([
                ("cassette", Some(Answer::Cassette { state: CassetteState::Full, dosed: false })),
                ("outdoor_table", Some(Answer::Count { pieces: 0 })),
            ]),
            ..Plan::default()
        };
        let hire = self.round(&b, b.to.plus_seconds(-900), out, home).await?;
        self.demo.clock.set(b.to.plus_seconds(2 * 86_400));
        for line in self.compared(hire).await?.lines {
            if line.key.starts_with("inventory.") {
                self.decide(hire, &line.key, Verdict::Waive, Some("found later behind the shed in the yard")).await?;
            } else {
                self.decide(hire, &line.key, Verdict::Accept, None).await?;
            }
        }
        Ok(())
    }
}

pub(super) const fn new_mark(
    panel: &'static str,
    kind: &'static str,
    size_mm: u32,
    viewpoint: &'static str,
    at: (i64, i64),
    depth: Depth,
) -> NewMark {
    NewMark { panel, kind, size_mm, viewpoint, at, depth, note: None }
}
