//! One page to find in a hurry. It says what keeps people safe until help comes, and defers to those who know more.

use crate::draft::{Draft, Part};
use crate::record::Record;
use handsel_domain::text::Lang;

struct Page {
    title: &'static str,
    intro: &'static str,
    /// What it is about, and what to do, in order.
    cases: [(&'static str, &'static [&'static str]); 5],
    height_unknown: &'static str,
    first: &'static str,
    call: &'static str,
}

const EN: Page = Page {
    title: "If something is wrong: one page to keep at hand",
    intro: "People first, then the vehicle. The emergency number is 112 in all of Europe, and 999 also works in the United \
            Kingdom.",
    cases: [
        (
            "You smell gas",
            &[
                "No flame, no smoking. Touch no switch and no plug, neither on nor off, and use no telephone inside.",
                "Close the valve on the gas cylinder, if you can do so without danger.",
                "Open door and windows. Everybody out, animals too, and stay away.",
                "Call from outside: the emergency number, then us. Use no gas again until a qualified person has looked.",
            ],
        ),
        (
            "The carbon monoxide alarm or the smoke alarm sounds, or somebody has headache, dizziness or nausea",
            &[
                "Everybody out into the open air at once, and stay out.",
                "Turn off gas appliances and leave the door open only if it lies on your way.",
                "Call the emergency number if anybody feels unwell: carbon monoxide acts on after you are outside.",
                "Use no appliance with a flame again until a qualified person has looked.",
            ],
        ),
        (
            "Fire",
            &[
                "Everybody out, call the emergency number, keep others away.",
                "Close the gas cylinder only if it is safe to reach. Fight only a small fire, with the way out behind you.",
            ],
        ),
        (
            "Mains electricity: somebody gets a shock, something smells burnt, or a breaker trips again and again",
            &[
                "Do not touch a person who is in contact with the current. Switch off at the pitch's post first, or pull the \
                 plug there.",
                "Call the emergency number after every shock. Leave the lead unplugged and open nothing: it is for a qualified \
                 electrician.",
            ],
        ),
        (
            "Height",
            &[
                "Before every bridge, barrier, canopy, car park and ferry compare the sign with the figure below; what is on \
                 the roof counts too.",
                "If in doubt, stop, warning lights on, and reverse out with somebody watching.",
            ],
        ),
    ],
    height_unknown: "Height of this vehicle: see the plate in the cab.",
    first: "The makers' handbooks of the vehicle and its appliances, local rules and the words of the emergency services come \
            before this page. Gas, mains electricity, brakes and wheels are for qualified people: do not repair or adjust them.",
    call: "Then call us",
};

const DE: Page = Page {
    title: "Wenn etwas nicht stimmt: eine Seite, die griffbereit bleibt",
    intro: "Erst die Menschen, dann das Fahrzeug. Der Notruf ist in ganz Europa 112.",
    cases: [
        (
            "Sie riechen Gas",
            &[
                "Keine Flamme, nicht rauchen. Keinen Schalter und keinen Stecker berühren, weder ein noch aus, und drinnen \
                 nicht telefonieren.",
                "Das Ventil der Gasflasche schließen, wenn es ohne Gefahr geht.",
                "Tür und Fenster öffnen. Alle hinaus, auch Tiere, und fernbleiben.",
                "Von draußen anrufen: erst den Notruf, dann uns. Kein Gas mehr benutzen, bis eine Fachkraft nachgesehen hat.",
            ],
        ),
        (
            "Der Kohlenmonoxid- oder der Rauchmelder schlägt an, oder jemand hat Kopfschmerzen, Schwindel oder Übelkeit",
            &[
                "Sofort alle hinaus an die frische Luft, und draußen bleiben.",
                "Gasgeräte nur abstellen und die Tür nur offen lassen, wenn es auf dem Weg liegt.",
                "Den Notruf wählen, wenn sich jemand unwohl fühlt: Kohlenmonoxid wirkt auch draußen noch nach.",
                "Kein Gerät mit Flamme mehr benutzen, bis eine Fachkraft nachgesehen hat.",
            ],
        ),
        (
            "Feuer",
            &[
                "Alle hinaus, den Notruf wählen, andere fernhalten.",
                "Die Gasflasche nur schließen, wenn sie gefahrlos zu erreichen ist. Nur ein kleines Feuer löschen, mit dem \
                 Fluchtweg im Rücken.",
            ],
        ),
        (
            "Netzstrom: jemand bekommt einen Schlag, etwas riecht verschmort, oder eine Sicherung fällt immer wieder",
            &[
                "Niemanden berühren, der unter Strom steht. Zuerst an der Säule des Stellplatzes abschalten oder dort den \
                 Stecker ziehen.",
                "Nach jedem Stromschlag den Notruf wählen. Das Kabel bleibt gezogen, nichts öffnen: Das ist Sache einer \
                 Elektrofachkraft.",
            ],
        ),
        (
            "Höhe",
            &[
                "Vor jeder Brücke, Schranke, Überdachung, Tiefgarage und Fähre das Schild mit der Zahl unten vergleichen; was \
                 auf dem Dach ist, zählt mit.",
                "Im Zweifel anhalten, Warnblinker an, und mit Einweiser zurücksetzen.",
            ],
        ),
    ],
    height_unknown: "Höhe dieses Fahrzeugs: siehe Schild im Fahrerhaus.",
    first: "Die Herstelleranleitungen des Fahrzeugs und seiner Geräte, die örtlichen Vorschriften und die Worte der Rettungskräfte \
            gehen dieser Seite vor. Gas, Netzstrom, Bremsen und Räder sind Sache von Fachleuten: nicht selbst reparieren oder \
            verstellen.",
    call: "Dann rufen Sie uns an",
};

/// Puts the page into a record.
pub(crate) fn page(draft: &mut Draft, record: &Record, size: Option<String>, lang: Lang) {
    let page = match lang {
        Lang::En => &EN,
        Lang::De => &DE,
    };
    draft.push(Part::NewPage);
    draft.heading(page.title);
    draft.text(page.intro);
    for (what, steps) in &page.cases {
        draft.push(Part::Steps {
            title: (*what).to_owned(),
            steps: steps.iter().map(|step| (*step).to_owned()).collect(),
        });
    }
    draft.push(Part::Facts {
        rows: vec![
            (size_label(lang).to_owned(), size.unwrap_or_else(|| page.height_unknown.to_owned())),
            (page.call.to_owned(), joined([record.depot.name.as_str(), record.depot.phone.as_str()])),
        ],
    });
    draft.push(Part::Notice { label: page.first.to_owned(), text: String::new() });
}

const fn size_label(lang: Lang) -> &'static str {
    crate::words::words(lang).size
}

fn joined<const N: usize>(words: [&str; N]) -> String {
    words.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(", ")
}
