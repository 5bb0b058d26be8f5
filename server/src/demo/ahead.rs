//! Hires of the demonstration that are not back yet.

use super::hires::{Booking, Maker, new_mark};
use super::walk::{Plan, walk};
use crate::app::input::Cancel;
use crate::app::{Refusal, hires};
use handsel_domain::deposit::{Means, MovementKind};
use handsel_domain::inspection::{Depth, Leg};
use handsel_domain::money::Currency;

impl Maker<'_> {
    /// Hires that are out, due today, due to leave, and called off.
    pub(super) async fn out_and_booked(&self) -> Result<(), Refusal> {
        for (reference, vehicle, hirer, days, odometer) in [
            ("FW-2075", "Foxglove", "Greta Pool", (-7, 0), 27_340),
            ("FW-2080", "Sorrel", "Henrik Vale", (-2, 5), 49_020),
        ] {
            let b = self.booking(reference, vehicle, hirer, days);
            let hire = self.book(&b).await?;
            self.demo.clock.set(b.from.plus_seconds(-3_600));
            self.movement(b.by, hire, MovementKind::HoldPlaced, Means::Card, 150_000, Currency::Gbp).await?;
            let scene = self.scene(b.by, self.fleet.vehicle(vehicle)?, hire, Leg::Departure, b.from);
            let marks = if vehicle == "Foxglove" {
                vec![new_mark("nearside_wall", "scratch", 110, "nearside_rear", (63, 57), Depth::Surface)]
            } else {
                Vec::new()
            };
            walk(&scene, Plan { odometer, hirer, marks, ..Plan::default() }).await?;
        }
        for (reference, vehicle, hirer, days, new) in [
            ("FW-2083", "Rowan", "Ilse Fenn", (0, 7), true),
            ("FW-2084", "Juniper", "Joris Beck", (0, 10), false),
            ("FW-2090", "Bramble", "Kaja Thorn", (2, 9), true),
        ] {
            let mut b = self.booking(reference, vehicle, hirer, days);
            b.new_to_layout = new;
            self.book(&b).await?;
        }
        let b = self.booking("FW-2079", "Tansy", "Lorin Heath", (3, 6));
        let hire = self.book(&b).await?;
        self.demo.clock.set(self.demo.now.plus_seconds(-86_400));
        let reason = "hirer ill, moved to spring".to_owned();
        hires::cancel(&self.demo.app, &self.fleet.desk, hire, Cancel { reason }).await?;
        Ok(())
    }

    /// The other depot, another zone and currency; its deposits come by transfer.
    pub(super) async fn lakeside(&self) -> Result<(), Refusal> {
        let zone = self.fleet.lakeside.zone;
        for (reference, vehicle, hirer, from, to) in
            [("SH-311", "Edelweiss", "Mirko Tann", -3, 4), ("SH-315", "Enzian", "Nele Moor", 0, 6)]
        {
            let b = Booking {
                reference,
                vehicle,
                hirer,
                from: self.demo.at(zone, from, 15, 0),
                to: self.demo.at(zone, to, 11, 0),
                by: &self.fleet.manager,
                means: Means::Transfer,
                excess: 150_000,
                new_to_layout: false,
            };
            let hire = self.book(&b).await?;
            if from < 0 {
                self.demo.clock.set(b.from.plus_seconds(-3_600));
                self.movement(b.by, hire, MovementKind::HoldPlaced, Means::Transfer, 150_000, Currency::Eur).await?;
                let scene = self.scene(b.by, self.fleet.vehicle(vehicle)?, hire, Leg::Departure, b.from);
                walk(&scene, Plan { odometer: 38_200, hirer, ..Plan::default() }).await?;
            }
        }
        self.demo.clock.set(self.demo.now);
        Ok(())
    }
}
