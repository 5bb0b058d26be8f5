use super::check::Checks;
use super::input::{NewVehicle, VehicleEdit};
use super::once::{Made, changed_meanwhile, digest, id_taken, taken};
use super::view::Hookup;
use super::{App, Caller, Code, Page, PageAsk, Refusal, walkround};
use crate::store::record::Vehicle;
use crate::store::{Tx, depot, tariff, template, vehicle};
use handsel_domain::hookup;
use handsel_domain::ids::VehicleId;
use handsel_domain::policy::Action;
use handsel_domain::template::Template;

pub async fn list(app: &App, caller: &Caller, ask: &PageAsk) -> Result<Page<Vehicle>, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    Ok(vehicle::list(&tx, caller.scope, ask).await?)
}

pub async fn read(app: &App, caller: &Caller, id: VehicleId) -> Result<Vehicle, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    reached(&tx, caller, id).await
}

pub(super) async fn reached(tx: &Tx, caller: &Caller, id: VehicleId) -> Result<Vehicle, Refusal> {
    vehicle::find(tx, caller.scope, id).await?.ok_or_else(|| Refusal::not_found("vehicle"))
}

/// The walk-round as it applies to this vehicle now.
pub async fn template(app: &App, caller: &Caller, id: VehicleId) -> Result<Template, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    let vehicle = reached(&tx, caller, id).await?;
    let template = template::find(&tx, vehicle.template).await?;
    let template = template.ok_or_else(|| Refusal::internal(format!("vehicle {id} has no template")))?;
    Ok(walkround::asked(&template, &vehicle.fitted()))
}

/// What a pitch's supply carries of this vehicle's appliances.
pub async fn hookup(app: &App, caller: &Caller, id: VehicleId) -> Result<Hookup, Refusal> {
    caller.must(Action::ReadFleet)?;
    let tx = app.store.read().await?;
    let vehicle = reached(&tx, caller, id).await?;
    Ok(Hookup { pitches: hookup::table(&vehicle.mains_appliances) })
}

pub async fn create(app: &App, caller: &Caller, asked: NewVehicle) -> Result<Made<Vehicle>, Refusal> {
    caller.must(Action::WriteFleet)?;
    let digest = digest(&asked)?;
    let tx = app.store.write().await?;
    if let Some((known, made_by)) = vehicle::known(&tx, asked.id).await? {
        let same = made_by == digest && caller.scope.reaches(known.depot);
        return if same { Ok(Made::known(known)) } else { Err(id_taken("vehicle")) };
    }
    let vehicle = Vehicle {
        id: asked.id,
        name: asked.name,
        registration: asked.registration,
        depot: asked.depot,
        template: asked.template,
        tariff: asked.tariff,
        equipment: asked.equipment,
        added: asked.added,
        removed: asked.removed,
        figures: asked.figures,
        tank_litres: asked.tank_litres,
        leisure_battery: asked.leisure_battery,
        gas: asked.gas,
        cylinders: asked.cylinders,
        gas_appliances: asked.gas_appliances,
        mains_appliances: asked.mains_appliances,
        kit: asked.kit,
        odometer_unit: asked.odometer_unit,
        fuel_gauge_divisions: asked.fuel_gauge_divisions,
        active: true,
        version: 1,
    };
    check(&tx, caller, &vehicle).await?;
    vehicle::insert(&tx, &vehicle, digest)
        .await
        .map_err(|e| taken(e, "vehicle", "registration", registration_taken))?;
    tx.commit().await?;
    Ok(Made::new(vehicle))
}

pub async fn edit(app: &App, caller: &Caller, id: VehicleId, was: u32, asked: VehicleEdit) -> Result<Vehicle, Refusal> {
    caller.must(Action::WriteFleet)?;
    let tx = app.store.write().await?;
    let found = reached(&tx, caller, id).await?;
    if found.version != was {
        return Err(changed_meanwhile(was, found.version));
    }
    let changed = Vehicle {
        id,
        name: asked.name.unwrap_or(found.name),
        registration: asked.registration.unwrap_or(found.registration),
        depot: asked.depot.unwrap_or(found.depot),
        template: asked.template.unwrap_or(found.template),
        tariff: asked.tariff.unwrap_or(found.tariff),
        equipment: asked.equipment.unwrap_or(found.equipment),
        added: asked.added.unwrap_or(found.added),
        removed: asked.removed.unwrap_or(found.removed),
        figures: asked.figures.unwrap_or(found.figures),
        tank_litres: asked.tank_litres.unwrap_or(found.tank_litres),
        leisure_battery: asked.leisure_battery.unwrap_or(found.leisure_battery),
        gas: asked.gas.unwrap_or(found.gas),
        cylinders: asked.cylinders.unwrap_or(found.cylinders),
        gas_appliances: asked.gas_appliances.unwrap_or(found.gas_appliances),
        mains_appliances: asked.mains_appliances.unwrap_or(found.mains_appliances),
        kit: asked.kit.unwrap_or(found.kit),
        odometer_unit: asked.odometer_unit.unwrap_or(found.odometer_unit),
        fuel_gauge_divisions: asked.fuel_gauge_divisions.unwrap_or(found.fuel_gauge_divisions),
        active: asked.active.unwrap_or(found.active),
        version: was + 1,
    };
    check(&tx, caller, &changed).await?;
    let written = vehicle::update(&tx, &changed, was)
        .await
        .map_err(|e| taken(e, "vehicle", "registration", registration_taken))?;
    if !written {
        return Err(changed_meanwhile(was, was + 1));
    }
    tx.commit().await?;
    Ok(changed)
}

fn registration_taken() -> Refusal {
    Refusal::new(Code::RegistrationTaken, "Another vehicle has this registration: check the plate.")
}

async fn check(tx: &Tx, caller: &Caller, vehicle: &Vehicle) -> Result<(), Refusal> {
    let mut checks = Checks::default();
    checks.line("/name", &vehicle.name);
    checks.line("/registration", &vehicle.registration);
    checks.require(vehicle.tank_litres.is_positive(), "/tank_litres", "must be more than zero");
    let f = vehicle.figures;
    for (name, figure) in [
        ("height_mm", f.height_mm),
        ("width_mm", f.width_mm),
        ("length_mm", f.length_mm),
        ("max_mass_kg", f.max_mass_kg),
    ] {
        checks.require(figure > 0, &format!("/figures/{name}"), "must be more than zero");
    }
    checks.require(vehicle.fuel_gauge_divisions != Some(0), "/fuel_gauge_divisions", "must be more than zero, or null");
    for (i, place) in vehicle.cylinders.iter().enumerate() {
        checks.require(
            place.net_fill_kg.is_positive(),
            &format!("/cylinders/{i}/net_fill_kg"),
            "must be more than zero",
        );
        let stamped = place.tare_kg.is_none_or(|tare| tare.is_positive());
        checks.require(stamped, &format!("/cylinders/{i}/tare_kg"), "must be more than zero, or null");
        let first = vehicle.cylinders.iter().position(|c| c.slot == place.slot) == Some(i);
        checks.require(first, &format!("/cylinders/{i}/slot"), "names a place a second time");
    }
    for (i, appliance) in vehicle.gas_appliances.iter().enumerate() {
        checks.line(&format!("/gas_appliances/{i}/name"), &appliance.name);
        let burns = appliance.input_kw.is_positive();
        checks.require(burns, &format!("/gas_appliances/{i}/input_kw"), "must be more than zero");
    }
    for (i, appliance) in vehicle.mains_appliances.iter().enumerate() {
        checks.line(&format!("/mains_appliances/{i}/name"), &appliance.name);
        checks.require(appliance.watts > 0, &format!("/mains_appliances/{i}/watts"), "must be more than zero");
    }
    let reached = depot::find(tx, caller.scope, vehicle.depot).await?.is_some();
    checks.require(reached, "/depot", "must be a depot that you reach");
    checks.require(tariff::find(tx, vehicle.tariff).await?.is_some(), "/tariff", "there is no such tariff");
    match template::find(tx, vehicle.template).await? {
        None => checks.require(false, "/template", "there is no such template"),
        Some(template) => {
            for fault in walkround::faults(&template, &vehicle.equipment, &vehicle.added, &vehicle.removed) {
                checks.require(false, &fault.pointer, fault.detail);
            }
        }
    }
    checks.done()
}
