//! Depots, staff, templates, tariffs and vehicles of the demonstration.

use super::{Demo, accounts, tariffs};
use crate::app::input::{NewDepot, NewStaff, NewVehicle};
use crate::app::record::{CylinderPlace, Depot, Figures, Vehicle};
use crate::app::{Caller, Refusal, depots, staff, tariffs as tariff_deeds, templates, vehicles};
use handsel_domain::builtin;
use handsel_domain::case::{GasAppliance, KitAge, MainsAppliance};
use handsel_domain::exact::Exact;
use handsel_domain::ids::{DepotId, StaffId, TariffId, TemplateId, VehicleId};
use handsel_domain::money::Currency;
use handsel_domain::policy::Role;
use handsel_domain::readings::battery::Chemistry;
use handsel_domain::readings::lpg::Gas;
use handsel_domain::text::Text;
use handsel_domain::time::Date;
use handsel_domain::units::DistanceUnit;

pub(super) struct Fleet {
    pub harbour: Depot,
    pub lakeside: Depot,
    pub vehicles: Vec<(Vehicle, &'static str)>,
    pub desk: Caller,
    pub yard: Caller,
    pub office: Caller,
    pub manager: Caller,
}

impl Fleet {
    /// A vehicle by its name, with its layout.
    pub(super) fn vehicle(&self, name: &str) -> Result<(&Vehicle, &'static str), Refusal> {
        let found = self.vehicles.iter().find(|(v, _)| v.name == name).map(|(v, layout)| (v, *layout));
        found.ok_or_else(|| Refusal::internal(format!("the demonstration has no vehicle {name}")))
    }
}

/// (name, registration, layout, at the lakeside depot)
const VEHICLES: [(&str, &str, &str, bool); 10] = [
    ("Bramble", "FX26 BRB", "coachbuilt", false),
    ("Foxglove", "FX26 FGV", "coachbuilt", false),
    ("Rowan", "FX25 RWN", "panel_van", false),
    ("Juniper", "FX26 JNP", "integrated", false),
    ("Sorrel", "FX24 SRL", "coachbuilt", false),
    ("Hawthorn", "FX25 HWT", "integrated", false),
    ("Meadowsweet", "FX24 MDW", "panel_van", false),
    ("Tansy", "FX25 TNS", "panel_van", false),
    ("Edelweiss", "XX-EW 26", "integrated", true),
    ("Enzian", "XX-EN 25", "coachbuilt", true),
];

pub(super) async fn make(demo: &Demo) -> Result<Fleet, Refusal> {
    demo.clock.set(demo.now.plus_seconds(-400 * 86_400));
    let app = &demo.app;
    let first = accounts().into_iter().find(|a| a.role == Role::Manager);
    let first = first.ok_or_else(|| Refusal::internal("the demonstration has no manager"))?;
    let founder = NewStaff {
        id: StaffId(demo.id()),
        email: first.email,
        name: "Mara Weller".to_owned(),
        role: Role::Manager,
        depot: None,
        password: first.password,
    };
    let manager = Caller::of(&staff::found(app, founder).await?);
    let harbour = depot(demo, &manager, "Harbour Yard", "Europe/London", "2 Example Quay, Exampleton").await?;
    let lakeside = depot(demo, &manager, "Seehof", "Europe/Berlin", "Musterweg 3, Musterstadt").await?;
    let mut callers = Vec::new();
    for (role, name) in [(Role::Desk, "Dana Pell"), (Role::Inspector, "Yorick Amble"), (Role::Office, "Olga Finch")] {
        callers.push(person(demo, &manager, role, name, harbour.id).await?);
    }
    let [desk, yard, office] = callers.as_slice() else {
        return Err(Refusal::internal("the demonstration's staff"));
    };
    let pounds = tariffs::tariff(demo, "Standard", Currency::Gbp, DistanceUnit::Mile, 20);
    let euros = tariffs::tariff(demo, "Standard, Euro", Currency::Eur, DistanceUnit::Km, 19);
    let (pounds_id, euros_id) = (pounds.id, euros.id);
    tariff_deeds::create(app, &manager, pounds).await?;
    tariff_deeds::create(app, &manager, euros).await?;
    let mut layouts = Vec::new();
    for (layout, en, de) in [
        ("coachbuilt", "Coachbuilt, over-cab bed", "Alkoven"),
        ("panel_van", "Panel van conversion", "Kastenwagen"),
        ("integrated", "Fully integrated", "Vollintegriert"),
    ] {
        let id = TemplateId(demo.id());
        let template = builtin::template(id, layout, 1, Text::both(en, de)).map_err(Refusal::internal)?;
        templates::create(app, &manager, template).await?;
        layouts.push((layout, id));
    }
    let mut made = Vec::new();
    for (name, registration, layout, away) in VEHICLES {
        let template = layouts.iter().find(|(l, _)| *l == layout).map(|(_, id)| *id);
        let template = template.ok_or_else(|| Refusal::internal("the demonstration's layouts"))?;
        let (depot, tariff) = if away { (lakeside.id, euros_id) } else { (harbour.id, pounds_id) };
        let asked = vehicle(demo, (name, registration, layout), depot, template, tariff, away);
        made.push((vehicles::create(app, &manager, asked).await?.value, layout));
    }
    Ok(Fleet { harbour, lakeside, vehicles: made, desk: *desk, yard: *yard, office: *office, manager })
}

async fn depot(demo: &Demo, manager: &Caller, name: &str, zone: &str, address: &str) -> Result<Depot, Refusal> {
    let asked = NewDepot {
        id: DepotId(demo.id()),
        name: name.to_owned(),
        zone: zone.parse().map_err(Refusal::internal)?,
        address: address.to_owned(),
        phone: "01632 960101".to_owned(),
    };
    Ok(depots::create(&demo.app, manager, asked).await?.value)
}

async fn person(demo: &Demo, manager: &Caller, role: Role, name: &str, depot: DepotId) -> Result<Caller, Refusal> {
    let account = accounts().into_iter().find(|a| a.role == role);
    let account = account.ok_or_else(|| Refusal::internal("the demonstration's accounts"))?;
    let asked = NewStaff {
        id: StaffId(demo.id()),
        email: account.email,
        name: name.to_owned(),
        role,
        depot: Some(depot),
        password: account.password,
    };
    Ok(Caller::of(&staff::create(&demo.app, manager, asked).await?.value))
}

fn vehicle(
    demo: &Demo,
    (name, registration, layout): (&str, &str, &str),
    depot: DepotId,
    template: TemplateId,
    tariff: TariffId,
    away: bool,
) -> NewVehicle {
    let mut equipment = vec![
        "gas",
        "mains",
        "leisure_battery",
        "solar",
        "cassette_toilet",
        "gas_water_heater",
        "mains_water_heater",
        "room_heater",
        "absorption_fridge",
        "glass_lid_hob",
        "swivel_seats",
        "fly_screen",
        "shower",
        "spare_wheel",
        "bonnet_access",
        "reversing_camera",
    ];
    let (figures, tank, chemistry, gauge) = match layout {
        "panel_van" => {
            equipment.extend(["outside_shower", "fold_out_basin"]);
            (figures(2650, 2050, 5990, 3500), 90, Chemistry::Lifepo4, Some(8))
        }
        "integrated" => {
            equipment.extend(["second_cylinder", "awning", "oven", "grill", "electric_step", "garage", "roof_aerial"]);
            (figures(2950, 2320, 7450, 4250), 90, Chemistry::Agm, None)
        }
        _ => {
            equipment.extend(["awning", "grill", "electric_step", "bicycle_rack", "winter_covers", "extra_door_lock"]);
            (figures(3080, 2340, 6950, 3500), 80, Chemistry::Flooded, Some(8))
        }
    };
    let cylinder = |slot: &str| CylinderPlace {
        slot: slot.to_owned(),
        net_fill_kg: Exact::whole(6),
        tare_kg: Some(Exact::scaled(83, 1)),
    };
    let mut cylinders = vec![cylinder("1")];
    if equipment.contains(&"second_cylinder") {
        cylinders.push(cylinder("2"));
    }
    let gas = |name: &str, tenths: i128| GasAppliance { name: name.to_owned(), input_kw: Exact::scaled(tenths, 1) };
    let mains = |name: &str, watts| MainsAppliance { name: name.to_owned(), watts };
    let bought = Date(demo.at_date(-18 * 30));
    NewVehicle {
        id: VehicleId(demo.id()),
        name: name.to_owned(),
        registration: registration.to_owned(),
        depot,
        template,
        tariff,
        equipment: equipment.into_iter().map(ToOwned::to_owned).collect(),
        added: Vec::new(),
        removed: Vec::new(),
        figures,
        tank_litres: Exact::whole(tank),
        leisure_battery: Some(chemistry),
        gas: Gas::Propane,
        cylinders,
        gas_appliances: vec![gas("hob ring", 18), gas("water heater", 15), gas("room heater", 40)],
        mains_appliances: vec![
            mains("water heater, low", 800),
            mains("water heater, high", 1200),
            mains("refrigerator", 175),
            mains("kettle", 1000),
            mains("fan heater", 2000),
        ],
        kit: [
            "keys",
            "mains_lead",
            "hose",
            "outdoor_table",
            "outdoor_chairs",
            "levelling_ramps",
            "pans",
            "cutlery_set",
        ]
        .into_iter()
        .map(|item| KitAge { item: item.to_owned(), acquired: bought })
        .collect(),
        odometer_unit: if away { DistanceUnit::Km } else { DistanceUnit::Mile },
        fuel_gauge_divisions: gauge,
    }
}

const fn figures(height_mm: u32, width_mm: u32, length_mm: u32, max_mass_kg: u32) -> Figures {
    Figures { height_mm, width_mm, length_mm, max_mass_kg }
}
