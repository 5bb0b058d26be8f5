//! German.

use super::numbers::hours_minutes;
use super::speak::Words;
use crate::case::OdometerReplacement;
use crate::charges::Missed;
use crate::evidence::EvidenceKind;
use crate::exact::Exact;
use crate::inspection::{
    Answer, BatteryReading, CassetteState, Condition, CylinderReading, Depth, Leg, Level, RepeatOf, SignatureRole,
};
use crate::money::Money;
use crate::photo::{PhotoAdvice, PointersState};
use crate::readings::battery::{Charge, Chemistry};
use crate::shown;
use crate::tariff::ItemPrice;
use crate::text::Lang;
use crate::time::{Date, Instant, Zone};
use crate::units::DistanceUnit;

pub(super) struct German;

fn n(value: Exact, places: u32) -> String {
    shown::number(value, places, Lang::De)
}

fn m(value: Money) -> String {
    shown::money(value, Lang::De)
}

fn u(value: f64) -> String {
    shown::approx(value, 2, Lang::De)
}

fn percent(share: Exact) -> String {
    n(share.times(Exact::whole(100)).unwrap_or(share), 2)
}

fn level(level: Level) -> String {
    match level {
        Level::Gauge { part, of } => format!("{part}/{of}"),
        Level::Percent { value, .. } => format!("{}\u{a0}%", n(value, 1)),
    }
}

fn span(seconds: i64) -> String {
    match hours_minutes(seconds) {
        (0, minutes) => format!("{minutes} Min."),
        (hours, 0) => format!("{hours} Std."),
        (hours, minutes) => format!("{hours} Std. {minutes:02} Min."),
    }
}

fn day(date: Date) -> String {
    date.0.format("%d.%m.%Y").to_string()
}

fn cassette_state(state: CassetteState) -> &'static str {
    match state {
        CassetteState::EmptyRinsed => "leer und gespült",
        CassetteState::Empty => "leer",
        CassetteState::PartFull => "teilweise voll",
        CassetteState::Full => "voll",
    }
}

fn leg_name(leg: Leg) -> &'static str {
    match leg {
        Leg::Departure => "Bei der Übergabe",
        Leg::Return => "Bei der Rückgabe",
        Leg::Interim => "Bei der Zwischenprüfung",
    }
}

fn chemistry_name(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "Blei-Säure-Batterie",
        Chemistry::Agm => "AGM-Batterie",
        Chemistry::Gel => "Gel-Batterie",
        Chemistry::Lifepo4 => "LiFePO4-Batterie",
    }
}

fn plural(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn pieces(count: u32) -> String {
    format!("{count} Stück")
}

fn kind_name(kind: &str) -> String {
    match kind {
        "scratch" => "Kratzer",
        "dent" => "Delle",
        "crack" => "Riss",
        "chip" => "Abplatzer",
        "tear" => "Einriss",
        "burn" => "Brandfleck",
        "stain" => "Fleck",
        "missing" => "fehlt",
        "shattered" => "zersprungen",
        "bent" => "verbogen",
        "split" => "geplatzt",
        "bodywork" => "Karosserie",
        "glass" => "Glas",
        "roof" => "Dach",
        "underside" => "Unterboden",
        "awning" => "Markise",
        "furniture" => "Möbel",
        "appliance" => "Geräte",
        "upholstery" => "Polster",
        "wheels" => "Räder",
        "seals" => "Dichtungen",
        "small" => "klein",
        "medium" => "mittel",
        "large" => "groß",
        other => return other.replace('_', " "),
    }
    .to_owned()
}

impl Words for German {
    fn answer(&self, answer: &Answer) -> String {
        match answer {
            Answer::Condition { state } => self.condition(*state),
            Answer::Odometer { value, unit } => format!("{} {}", n(*value, 1), unit.symbol()),
            Answer::Fuel { level: l } => level(*l),
            Answer::Cylinder(r) => format!("{} kg brutto, {} kg Tara", n(r.gross_kg, 3), n(r.tare_kg, 3)),
            Answer::LeisureBattery(r) => format!("{} V nach {} Min. Ruhe", n(r.volts, 2), r.minutes_at_rest),
            Answer::StarterBattery { volts, .. } => format!("{} V", n(*volts, 2)),
            Answer::Water { level: l, drained } => {
                if *drained {
                    "abgelassen".into()
                } else {
                    level(*l)
                }
            }
            Answer::Cassette { state, dosed } => {
                let dose = if *dosed { "mit Sanitärzusatz" } else { "ohne Sanitärzusatz" };
                format!("{}, {dose}", cassette_state(*state))
            }
            Answer::Tread { mm, .. } => format!("{} mm", n(*mm, 1)),
            Answer::Keys { pieces: p } => format!("{p} Schlüssel"),
            Answer::Cleanliness { grade } => kind_name(grade),
            Answer::Count { pieces: p } => pieces(*p),
        }
    }

    fn condition(&self, state: Condition) -> String {
        match state {
            Condition::InOrder => "in Ordnung",
            Condition::NeedsAttention => "nicht in Ordnung",
            Condition::Missing => "fehlt",
            Condition::NotChecked => "nicht geprüft",
        }
        .into()
    }

    fn mark(&self, size_mm: u32, depth: Depth) -> String {
        let depth = match depth {
            Depth::Surface => "oberflächlich",
            Depth::ThroughFinish => "durch die Lackschicht",
            Depth::Deformed => "verformt",
            Depth::Through => "durchgehend",
        };
        format!("{size_mm} mm, {depth}")
    }

    fn mark_title(&self, panel: &str, kind: &str) -> String {
        format!("{panel}: {}", kind_name(kind))
    }

    fn gas_weights(&self, readings: &[CylinderReading], gas: Exact) -> String {
        let each: Vec<String> =
            readings.iter().map(|r| format!("{} − {}", n(r.gross_kg, 3), n(r.tare_kg, 3))).collect();
        format!("{} = {} kg Gas", each.join(" + "), n(gas, 3))
    }

    fn no_departure_record(&self, title: &str) -> String {
        format!(
            "Bei der Übergabe wurde dazu nichts festgehalten ({title}); die Rückgabe lässt sich mit nichts vergleichen."
        )
    }

    fn no_return_record(&self, title: &str) -> String {
        format!("Bei der Rückgabe wurde dazu nichts festgehalten ({title}).")
    }

    fn no_baseline(&self) -> String {
        "Kein Ausgangszustand festgehalten: Es wird nichts berechnet.".into()
    }

    fn not_priced(&self) -> String {
        "Der Tarif nennt dafür keinen Preis; es wird nichts vorgeschlagen.".into()
    }

    fn shown_only(&self) -> String {
        "Festgehalten und angezeigt; daraus wird nichts berechnet.".into()
    }

    fn note(&self, note: &str) -> String {
        format!("Notiz bei der Rückgabe: {note}")
    }

    fn clocks_apart(&self, leg: Leg, seconds: i64) -> String {
        let way = if seconds > 0 { "vor" } else { "nach" };
        format!("{} ging die Uhr des Geräts {} {way}, verglichen mit der des Servers.", leg_name(leg), span(seconds))
    }

    fn moment(&self, zone: Zone, at: Instant) -> String {
        shown::moment(zone, at, Lang::De)
    }

    fn distance_driven(&self, driven: Exact, unit: DistanceUnit) -> String {
        format!("Gefahren: Rückgabe minus Übergabe = {} {}.", n(driven, 3), unit.symbol())
    }

    fn odometer_replaced(&self, r: &OdometerReplacement) -> String {
        let unit = r.unit.symbol();
        format!(
            "Der Kilometerzähler wurde während der Miete ersetzt: Der alte endete bei {} {unit}, der neue begann bei {} {unit} ({}).",
            n(r.old_last, 1),
            n(r.new_first, 1),
            r.reason
        )
    }

    fn distance_allowance(&self, per_day: Exact, days: u32, allowance: Exact, unit: DistanceUnit) -> String {
        let unit = unit.symbol();
        format!(
            "Frei: {} {unit} je Tag × {} = {} {unit}.",
            n(per_day, 3),
            plural(days, "Miettag", "Miettage"),
            n(allowance, 3)
        )
    }

    fn distance_unlimited(&self) -> String {
        "Die Strecke ist unbegrenzt.".into()
    }

    fn distance_excess(&self, driven: Exact, allowance: Exact, excess: Exact, unit: DistanceUnit) -> String {
        let unit = unit.symbol();
        format!("Über die freie Strecke hinaus: {} − {} = {} {unit}.", n(driven, 3), n(allowance, 3), n(excess, 3))
    }

    fn on_time(&self, seconds: i64, grace_minutes: u32) -> String {
        if seconds <= 0 {
            format!("{} vor der vereinbarten Zeit zurück.", span(seconds))
        } else {
            format!(
                "{} nach der vereinbarten Zeit zurück, innerhalb der Kulanz von {grace_minutes} Min.",
                span(seconds)
            )
        }
    }

    fn late_by(&self, seconds: i64, grace_minutes: u32) -> String {
        format!(
            "{} nach der vereinbarten Zeit zurück, über die Kulanz von {grace_minutes} Min. hinaus; die ganze Verspätung zählt, in tatsächlich vergangener Zeit.",
            span(seconds)
        )
    }

    fn late_days(&self, days: u32, each: Money) -> String {
        format!("{days} × 24 vergangene Stunden zu je {}.", m(each))
    }

    fn late_hours(&self, hours: u32, hourly: Money, daily: Money, total: Money) -> String {
        format!(
            "{} zu je {}, höchstens der Tagessatz von {}: {}.",
            plural(hours, "angefangene Stunde", "angefangene Stunden"),
            m(hourly),
            m(daily),
            m(total)
        )
    }

    fn fuel_surplus(&self, shortfall: Exact) -> String {
        let surplus = Exact::ZERO.minus(shortfall).unwrap_or(Exact::ZERO);
        format!("Mit {} l mehr zurück als bei der Übergabe: angezeigt, nicht gutgeschrieben.", n(surplus, 2))
    }

    fn fuel_shortfall(&self, before: &str, after: &str, tank: Exact, litres: Exact) -> String {
        format!("({before} − {after}) × {} l Tank = {} l fehlen.", n(tank, 1), n(litres, 3))
    }

    fn within_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String {
        format!(
            "{} l liegen innerhalb dessen, was die Anzeige unterscheiden kann (±{} l): Es wird nichts vorgeschlagen.",
            n(litres, 3),
            u(uncertainty)
        )
    }

    fn beyond_instruments_litres(&self, litres: Exact, uncertainty: f64) -> String {
        format!(
            "{} l sind mehr als die ±{} l, die die Anzeige offen lässt; die ganze Fehlmenge zählt.",
            n(litres, 3),
            u(uncertainty)
        )
    }

    fn gas_used(&self, out: Exact, back: Exact, used: Exact) -> String {
        format!("Gas verbraucht: {} − {} = {} kg.", n(out, 3), n(back, 3), n(used, 3))
    }

    fn gas_certainty(&self, used: Exact, uncertainty: f64, beyond: bool) -> String {
        if beyond {
            format!("{} kg sind mehr als die ±{} kg, die die Waagen offen lassen.", n(used, 3), u(uncertainty))
        } else {
            format!("{} kg liegen innerhalb dessen, was die Waagen unterscheiden (±{} kg).", n(used, 3), u(uncertainty))
        }
    }

    fn gas_energy(&self, left: Exact, kwh: Exact, burns: &[(&str, Exact)]) -> String {
        let mut text = format!("Der Rest ({} kg) enthält etwa {} kWh", n(left, 3), n(kwh, 1));
        for (index, (name, hours)) in burns.iter().enumerate() {
            text.push_str(if index == 0 { ": " } else { ", " });
            text.push_str(&format!("{name} etwa {} h", n(*hours, 1)));
        }
        text.push('.');
        text
    }

    fn gas_included(&self) -> String {
        "Gas ist im Mietpreis enthalten.".into()
    }

    fn gas_refill(&self, share: Exact, threshold: Exact, left: Exact, uncertainty: f64, below: bool) -> String {
        let verdict = if below {
            format!("{} kg liegen um mehr als die ±{} kg der Waage darunter", n(left, 3), u(uncertainty))
        } else {
            format!("{} kg liegen nicht um mehr als die ±{} kg der Waage darunter", n(left, 3), u(uncertainty))
        };
        format!(
            "Eine Füllung wird fällig, wenn weniger als {}\u{a0}% der Füllmenge ({} kg) übrig sind: {verdict}.",
            percent(share),
            n(threshold, 3)
        )
    }

    fn gas_went_out_low(&self, threshold: Exact, out: Exact) -> String {
        format!(
            "Bei der Übergabe waren es {} kg, schon unter {} kg; es wird keine Füllung berechnet.",
            n(out, 3),
            n(threshold, 3)
        )
    }

    fn battery(&self, chemistry: Chemistry, reading: &BatteryReading, charge: &Charge) -> String {
        let name = chemistry_name(chemistry);
        match charge {
            Charge::NotAtRest { wanted_minutes } => format!(
                "Nicht in Ruhe: {} der {wanted_minutes} Minuten ohne Ladung oder Last, die eine {name} braucht; keine Aussage.",
                reading.minutes_at_rest
            ),
            Charge::NoTable => {
                format!("Für eine {name} gibt es keine veröffentlichte Tabelle von Spannung und Ladung; keine Aussage.")
            }
            Charge::Between { low, high, harm } => {
                let mut text = format!(
                    "{} V in Ruhe an einer {name}: irgendwo zwischen {}\u{a0}% und {}\u{a0}% geladen",
                    n(reading.volts, 2),
                    n(*low, 0),
                    n(*high, 0)
                );
                text.push_str(if *harm {
                    ", ganz unter der Grenze, ab der sie Schaden nimmt. Das Büro sieht es sich an; eine Batterie allein wird niemandem berechnet."
                } else if chemistry == Chemistry::Lifepo4 {
                    "; die Kennlinie ist flach, mehr sagt die Spannung nicht."
                } else {
                    "."
                });
                text
            }
        }
    }

    fn cassette(&self, out: CassetteState, back: CassetteState) -> String {
        format!("Übergeben {}, zurück {}: Die Entleerung wird berechnet.", cassette_state(out), cassette_state(back))
    }

    fn cassette_not_charged(&self, out: CassetteState, back: CassetteState) -> String {
        format!("Übergeben {}, zurück {}: Es wird nichts berechnet.", cassette_state(out), cassette_state(back))
    }

    fn fresh_water_shown(&self) -> String {
        "Frischwasser wird angezeigt und nicht berechnet.".into()
    }

    fn waste_undrained(&self) -> String {
        "Abgelassen übergeben, nicht abgelassen zurück: Das Ablassen wird berechnet.".into()
    }

    fn waste_not_charged(&self) -> String {
        "Nicht abgelassen zurück, aber auch nicht abgelassen übergeben: Es wird nichts berechnet.".into()
    }

    fn cleanliness(&self, before: &str, after: &str, steps: i64) -> String {
        format!("Von „{before}“ zu „{after}“: {steps} {} schlechter.", if steps == 1 { "Stufe" } else { "Stufen" })
    }

    fn pieces_missing(&self, went: u32, came: u32, lost: u32) -> String {
        let are = if lost == 1 { "fehlt" } else { "fehlen" };
        format!("{} übergeben, {came} zurück: {lost} {are}.", pieces(went))
    }

    fn more_pieces(&self, went: u32, came: u32) -> String {
        format!("{} übergeben, {came} zurück: angezeigt, nicht gutgeschrieben.", pieces(went))
    }

    fn value_on_the_day(&self, price: &ItemPrice, acquired: Option<Date>, on: Date, share: Exact) -> String {
        match acquired {
            Some(bought) => {
                let months = match crate::time::whole_months(bought, on) {
                    1 => "1 voller Monat".to_owned(),
                    many => format!("{many} volle Monate"),
                };
                format!(
                    "Zeitwert: neu {}, {months} von {} Monaten Nutzungsdauer (gekauft am {}), nie unter {}\u{a0}%: {}\u{a0}%.",
                    m(price.price),
                    price.service_life_months,
                    day(bought),
                    percent(price.floor),
                    percent(share)
                )
            }
            None => format!(
                "Zeitwert: neu {}; kein Kaufdatum festgehalten, deshalb zählt der niedrigste Wert: {}\u{a0}%.",
                m(price.price),
                percent(share)
            ),
        }
    }

    fn condition_changed(&self, before: &str, after: &str) -> String {
        if before.is_empty() {
            format!("Bei der Rückgabe: {after}.")
        } else {
            format!("Bei der Übergabe: {before}. Bei der Rückgabe: {after}.")
        }
    }

    fn not_in_register(&self) -> String {
        "nicht im Verzeichnis".into()
    }

    fn new_mark(&self, size_mm: u32) -> String {
        format!("Bei der Übergabe nicht im Schadensverzeichnis; {size_mm} mm.")
    }

    fn fair_wear(&self, size_mm: u32, up_to_mm: u32) -> String {
        format!("{size_mm} mm: Bis {up_to_mm} mm gilt dies als Abnutzung; es wird nichts berechnet.")
    }

    fn registered(&self, old_mm: u32, new_mm: u32) -> String {
        format!("Vor der Übergabe im Verzeichnis ({old_mm} mm, jetzt {new_mm} mm): Es wird nichts berechnet.")
    }

    fn grown(&self, old_mm: u32, new_mm: u32) -> String {
        format!("Im Verzeichnis mit {old_mm} mm, jetzt {new_mm} mm: Nur die Stufe zwischen beiden Größen zählt.")
    }

    fn damage_price(&self, group: &str, kind: &str, band: &str, price: Money) -> String {
        format!("Tarif: {}, {}, {} = {}.", kind_name(group), kind_name(kind), kind_name(band), m(price))
    }

    fn damage_step(&self, group: &str, kind: &str, old: Money, new: Money, step: Money) -> String {
        let what = format!("{}, {}", kind_name(group), kind_name(kind));
        format!("Tarif: {what}: {} bei der neuen Größe − {} bei der alten = {}.", m(new), m(old), m(step))
    }

    fn estimate_open(&self) -> String {
        "Offen, bis ein Kostenvoranschlag eingetragen ist; die Kaution wird solange nicht freigegeben.".into()
    }

    fn outside_excess(&self) -> String {
        "Nach dem Vertrag nicht von der Selbstbeteiligung begrenzt.".into()
    }

    fn title_distance(&self) -> String {
        "Strecke über der freien Strecke".into()
    }
    fn title_lateness(&self) -> String {
        "Zeit der Rückgabe".into()
    }
    fn title_fuel(&self) -> String {
        "Fehlender Kraftstoff".into()
    }
    fn title_lpg(&self) -> String {
        "Gas".into()
    }
    fn title_cassette(&self) -> String {
        "Entleeren der Toilettenkassette".into()
    }
    fn title_waste(&self) -> String {
        "Ablassen des Abwassers".into()
    }

    fn part_distance(&self) -> String {
        "Strecke über der freien Strecke".into()
    }
    fn part_late_days(&self) -> String {
        "Verspätung, volle 24 Stunden".into()
    }
    fn part_late_hours(&self) -> String {
        "Verspätung, angefangene Stunden".into()
    }
    fn part_daily_cap(&self, daily: Money) -> String {
        format!("Höchstens der Tagessatz von {}", m(daily))
    }
    fn part_fuel(&self) -> String {
        "Kraftstoff".into()
    }
    fn part_refuelling(&self) -> String {
        "Tankpauschale".into()
    }
    fn part_gas(&self) -> String {
        "Verbrauchtes Gas".into()
    }
    fn part_refill(&self) -> String {
        "Füllung".into()
    }
    fn part_cassette(&self) -> String {
        "Entleeren und Spülen".into()
    }
    fn part_waste(&self) -> String {
        "Ablassen".into()
    }
    fn part_cleaning(&self) -> String {
        "Reinigung, je Stufe".into()
    }
    fn part_inventory(&self, lost: u32, share: Exact) -> String {
        format!("{} zu {}\u{a0}% des Preises", pieces(lost), percent(share))
    }
    fn part_damage(&self) -> String {
        "Instandsetzung nach Tarif".into()
    }
    fn part_repair(&self) -> String {
        "Instandsetzung".into()
    }
    fn part_estimate(&self) -> String {
        "Kostenvoranschlag, wie eingetragen".into()
    }
    fn part_adjusted(&self) -> String {
        "Vom Büro angepasst".into()
    }
    fn part_panel_cap(&self, refinish: Money) -> String {
        format!("Mehrere Schäden an einem Teil kosten höchstens {}", m(refinish))
    }
    fn part_excess_cap(&self, excess: Money) -> String {
        format!("Schäden kosten höchstens die Selbstbeteiligung von {}", m(excess))
    }
    fn part_as_accepted(&self, accepted: Money) -> String {
        format!("Mit {} angenommen; seither nicht erhöht", m(accepted))
    }
    fn unit_days(&self) -> String {
        "× 24 Std.".into()
    }
    fn unit_hours(&self) -> String {
        "Std.".into()
    }
    fn unit_steps(&self) -> String {
        "Stufen".into()
    }

    fn evidence(&self, kind: EvidenceKind, present: bool) -> String {
        match (kind, present) {
            (EvidenceKind::DepartureRecord, true) => "Bei der Übergabe festgehalten",
            (EvidenceKind::DepartureRecord, false) => "Bei der Übergabe nicht festgehalten",
            (EvidenceKind::DeparturePhoto, true) => "Foto vom selben Blickpunkt aus der Zeit vor der Unterschrift",
            (EvidenceKind::DeparturePhoto, false) => {
                "Kein Foto vom selben Blickpunkt aus der Zeit vor der Unterschrift"
            }
            (EvidenceKind::HirerSignedDeparture, true) => "Übergabe vom Mieter unterschrieben",
            (EvidenceKind::HirerSignedDeparture, false) => "Übergabe vom Mieter nicht unterschrieben",
            (EvidenceKind::ReturnRecord, true) => "Bei der Rückgabe festgehalten",
            (EvidenceKind::ReturnRecord, false) => "Bei der Rückgabe nicht festgehalten",
            (EvidenceKind::ReturnPhoto, true) => "Foto von der Rückgabe",
            (EvidenceKind::ReturnPhoto, false) => "Kein Foto von der Rückgabe",
            (EvidenceKind::ReturnSigned, true) => "Rückgabe unterschrieben, oder Abwesenheit des Mieters vermerkt",
            (EvidenceKind::ReturnSigned, false) => {
                "Rückgabe weder unterschrieben noch Abwesenheit des Mieters vermerkt"
            }
            (EvidenceKind::ReturnPhotoOwn, true) => "Foto der Rückgabe bei dieser Rückgabe aufgenommen",
            (EvidenceKind::ReturnPhotoOwn, false) => "Foto der Rückgabe ist noch einmal ein früheres",
            (EvidenceKind::ReadingPhoto, true) => "Anzeigen bei Übergabe und Rückgabe fotografiert",
            (EvidenceKind::ReadingPhoto, false) => "Ein Foto der Anzeige fehlt, bei Übergabe oder Rückgabe",
            (EvidenceKind::Briefing, true) => "Dem Mieter wurde gezeigt, wovon dies abhängt",
            (EvidenceKind::Briefing, false) => "Dem Mieter wurde nicht gezeigt, wovon dies abhängt",
        }
        .into()
    }

    fn evidence_briefing(&self, missed: &[&str]) -> String {
        if missed.is_empty() {
            self.evidence(EvidenceKind::Briefing, true)
        } else {
            format!("Einweisung fällig und versäumt: {}", missed.join("; "))
        }
    }

    fn evidence_repeated(&self, whose: RepeatOf) -> String {
        match whose {
            RepeatOf::Departure => "Das Foto der Rückgabe ist noch einmal das der Übergabe",
            RepeatOf::OtherVehicle => "Das Foto der Rückgabe wurde schon früher von einem anderen Fahrzeug geschickt",
        }
        .into()
    }

    fn evidence_awaited(&self, kind: EvidenceKind) -> String {
        format!("{}: angekündigt, noch nicht eingetroffen", self.evidence(kind, true))
    }

    fn photo_repeated(&self, whose: RepeatOf) -> String {
        match whose {
            RepeatOf::Departure => "Das ist noch einmal das Foto der Übergabe",
            RepeatOf::OtherVehicle => "Dieses Foto wurde schon früher von einem anderen Fahrzeug geschickt",
        }
        .into()
    }

    fn photo_advice(&self, advice: PhotoAdvice) -> String {
        match advice {
            PhotoAdvice::Blurred => "Es wirkt unscharf. Wenn möglich, still halten und noch einmal aufnehmen.",
            PhotoAdvice::TooDark => "Es ist zu dunkel, um etwas zu beurteilen. Wenn möglich, beleuchten und noch einmal aufnehmen.",
            PhotoAdvice::TooBright => "Vieles ist überbelichtet. Wenn möglich, vom Licht wegdrehen und noch einmal aufnehmen.",
            PhotoAdvice::NotTheViewpoint => {
                "Es ließ sich nicht über das Foto der Übergabe legen. Wenn möglich, an dieselbe Stelle stellen und noch einmal aufnehmen."
            }
        }
        .into()
    }

    fn pointers(&self, state: PointersState, count: usize) -> String {
        match state {
            PointersState::Waiting => "Das Foto wird noch mit dem der Übergabe verglichen.".into(),
            PointersState::NothingToCompare => "Es gibt kein Foto der Übergabe, mit dem dieses verglichen werden kann.".into(),
            PointersState::Aligned if count == 0 => {
                "Gegenüber dem Foto der Übergabe fällt nichts auf. Trotzdem selbst hinschauen: das ist eine Hilfe, keine Prüfung.".into()
            }
            PointersState::Aligned => format!(
                "{} einen Blick wert. Hinweise beurteilt ein Mensch; sie berechnen nie etwas.",
                if count == 1 { "1 Stelle ist".to_owned() } else { format!("{count} Stellen sind") }
            ),
            PointersState::NotAligned => {
                "Dieses Foto und das der Übergabe ließen sich nicht übereinanderlegen, daher zeigt nichts auf etwas. Bitte mit dem Auge vergleichen.".into()
            }
            PointersState::Failed => "Der Vergleich kam nicht zustande. Bitte beide Fotos mit dem Auge vergleichen.".into(),
        }
    }

    fn gate_handed_over(&self, leg: Leg) -> String {
        match leg {
            Leg::Return => "Es ist nicht eingetragen, wann das Fahrzeug zurückkam".into(),
            _ => "Es ist nicht eingetragen, wann das Fahrzeug übergeben wurde".into(),
        }
    }
    fn gate_viewpoint(&self, title: &str) -> String {
        format!("Kein Foto: {title}")
    }
    fn gate_checkpoint(&self, title: &str) -> String {
        format!("Nicht beantwortet: {title}")
    }
    fn gate_photo(&self, title: &str) -> String {
        format!("Foto der Anzeige fehlt: {title}")
    }
    fn gate_item(&self, title: &str) -> String {
        format!("Nicht gezählt: {title}")
    }
    fn gate_conflict(&self, title: &str) -> String {
        format!("Zwei Antworten stehen nebeneinander: {title}")
    }
    fn gate_briefing(&self, title: &str, why: Missed) -> String {
        match why {
            Missed::AcknowledgedUnshown => format!("Bestätigt, ohne gezeigt worden zu sein: {title}"),
            Missed::NotAcknowledged | Missed::Overridden => format!("Vom Mieter nicht bestätigt: {title}"),
        }
    }
    fn gate_signature(&self, role: SignatureRole, leg: Leg) -> String {
        match (role, leg) {
            (SignatureRole::Hirer, Leg::Return) => {
                "Der Mieter hat nicht unterschrieben und ist nicht als abwesend vermerkt".into()
            }
            (SignatureRole::Hirer, _) => "Der Mieter hat nicht unterschrieben".into(),
            (SignatureRole::Staff, _) => "Das Personal hat nicht unterschrieben".into(),
        }
    }
}
