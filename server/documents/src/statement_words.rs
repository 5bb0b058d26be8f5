//! The statement page's own words. What the lines say comes from the domain, already in the page's language.

use handsel_domain::charges::LineState;
use handsel_domain::deposit::{Means, MovementKind};
use handsel_domain::exact::Exact;
use handsel_domain::money::Money;
use handsel_domain::shown;
use handsel_domain::tariff::Tax;
use handsel_domain::text::Lang;

/// The words of one language.
pub(crate) struct PageWords {
    pub lang: &'static str,
    pub title: &'static str,
    pub provisional: &'static str,
    pub closed: &'static str,
    pub hirer: &'static str,
    pub vehicle: &'static str,
    pub agreed: &'static str,
    pub to: &'static str,
    pub returned: &'static str,
    pub hire_days: &'static str,
    pub charges: &'static str,
    pub nothing_charged: &'static str,
    pub item: &'static str,
    pub amount: &'static str,
    pub reason: &'static str,
    pub total_charged: &'static str,
    pub tax: &'static str,
    pub tax_inside: &'static str,
    pub deposit: &'static str,
    pub no_movements: &'static str,
    pub when: &'static str,
    pub movement: &'static str,
    pub reference: &'static str,
    pub held: &'static str,
    pub received: &'static str,
    pub written_off: &'static str,
    pub outstanding: &'static str,
    pub owed_to_hirer: &'static str,
    pub questions: &'static str,
    pub dispute: &'static str,
}

const EN: PageWords = PageWords {
    lang: "en",
    title: "Statement of the deposit",
    provisional: "Provisional: not everything has been decided and settled yet.",
    closed: "Closed on",
    hirer: "Hirer",
    vehicle: "Vehicle",
    agreed: "Agreed hire",
    to: "to",
    returned: "Came back",
    hire_days: "Hire days",
    charges: "What is charged, and why",
    nothing_charged: "Nothing is charged.",
    item: "Item",
    amount: "Amount",
    reason: "Decision's reason",
    total_charged: "Charged altogether",
    tax: "Tax inside what is charged",
    tax_inside: "Tax inside",
    deposit: "Where the deposit went",
    no_movements: "No money has moved.",
    when: "When",
    movement: "Movement",
    reference: "Reference",
    held: "Still held",
    received: "Received",
    written_off: "Written off",
    outstanding: "Still owed by the hirer",
    owed_to_hirer: "Still owed to the hirer",
    questions: "Questions and disputes",
    dispute: "If you disagree with a line, write to us and name it. Each line rests on records and photographs of both \
              legs of the hire, which we show you on request.",
};

const DE: PageWords = PageWords {
    lang: "de",
    title: "Abrechnung der Kaution",
    provisional: "Vorläufig: Noch ist nicht alles entschieden und abgerechnet.",
    closed: "Abgeschlossen am",
    hirer: "Mieter",
    vehicle: "Fahrzeug",
    agreed: "Vereinbarte Miete",
    to: "bis",
    returned: "Zurückgegeben",
    hire_days: "Miettage",
    charges: "Was berechnet wird und warum",
    nothing_charged: "Es wird nichts berechnet.",
    item: "Posten",
    amount: "Betrag",
    reason: "Begründung der Entscheidung",
    total_charged: "Berechnet insgesamt",
    tax: "Enthaltene Steuer",
    tax_inside: "Steuer darin",
    deposit: "Verbleib der Kaution",
    no_movements: "Es ist kein Geld geflossen.",
    when: "Wann",
    movement: "Bewegung",
    reference: "Beleg",
    held: "Noch einbehalten",
    received: "Erhalten",
    written_off: "Ausgebucht",
    outstanding: "Noch vom Mieter zu zahlen",
    owed_to_hirer: "Noch an den Mieter zu zahlen",
    questions: "Fragen und Einwände",
    dispute: "Wenn Sie einem Posten nicht zustimmen, schreiben Sie uns und nennen Sie ihn. Jeder Posten beruht auf \
              Aufzeichnungen und Fotos von Übergabe und Rückgabe, die wir Ihnen auf Wunsch zeigen.",
};

pub(crate) const fn words(lang: Lang) -> &'static PageWords {
    match lang {
        Lang::En => &EN,
        Lang::De => &DE,
    }
}

/// What a movement moves; a hold that is only kept for longer moves nothing.
pub(crate) fn moved(amount: Money, lang: Lang) -> String {
    if amount.is_zero() { "–".to_owned() } else { shown::money(amount, lang) }
}

pub(crate) fn number(value: Exact, lang: Lang) -> String {
    shown::number(value, 6, lang)
}

pub(crate) fn tax(tax: Tax, lang: Lang) -> String {
    match (tax, lang) {
        (Tax::Standard { rate }, Lang::En) => format!("taxed at {}\u{a0}%", number(rate, lang)),
        (Tax::Standard { rate }, Lang::De) => format!("besteuert mit {}\u{a0}%", number(rate, lang)),
        (Tax::Zero, Lang::En) => "zero-rated".into(),
        (Tax::Zero, Lang::De) => "Steuersatz null".into(),
        (Tax::Exempt, Lang::En) => "exempt from tax".into(),
        (Tax::Exempt, Lang::De) => "steuerfrei".into(),
        (Tax::OutsideScope, Lang::En) => "outside the scope of tax".into(),
        (Tax::OutsideScope, Lang::De) => "nicht steuerbar".into(),
    }
}

pub(crate) const fn state(state: LineState, lang: Lang) -> &'static str {
    match (state, lang) {
        (LineState::Proposed, Lang::En) => "not decided yet",
        (LineState::Proposed, Lang::De) => "noch nicht entschieden",
        (LineState::NoBaseline, Lang::En) => "no baseline",
        (LineState::NoBaseline, Lang::De) => "kein Ausgangszustand",
        (LineState::HeldForReview, Lang::En) => "held for review",
        (LineState::HeldForReview, Lang::De) => "zur Prüfung zurückgestellt",
        (LineState::EstimateOpen, Lang::En) => "estimate open: the deposit is not released meanwhile",
        (LineState::EstimateOpen, Lang::De) => "Kostenvoranschlag offen: die Kaution wird solange nicht freigegeben",
        (LineState::Accepted, Lang::En) => "charged",
        (LineState::Accepted, Lang::De) => "berechnet",
        (LineState::Adjusted, Lang::En) => "charged, adjusted",
        (LineState::Adjusted, Lang::De) => "angepasst berechnet",
        (LineState::Waived, Lang::En) => "waived",
        (LineState::Waived, Lang::De) => "erlassen",
        (LineState::Held, Lang::En) => "put aside",
        (LineState::Held, Lang::De) => "zurückgestellt",
    }
}

pub(crate) const fn movement(kind: MovementKind, lang: Lang) -> &'static str {
    match (kind, lang) {
        (MovementKind::HoldPlaced, Lang::En) => "deposit placed",
        (MovementKind::HoldPlaced, Lang::De) => "Kaution hinterlegt",
        (MovementKind::HoldExtended, Lang::En) => "hold extended",
        (MovementKind::HoldExtended, Lang::De) => "Reservierung verlängert",
        (MovementKind::Captured, Lang::En) => "captured from the deposit",
        (MovementKind::Captured, Lang::De) => "von der Kaution eingezogen",
        (MovementKind::Released, Lang::En) => "hold released",
        (MovementKind::Released, Lang::De) => "Reservierung freigegeben",
        (MovementKind::Paid, Lang::En) => "balance paid",
        (MovementKind::Paid, Lang::De) => "Restbetrag gezahlt",
        (MovementKind::Refunded, Lang::En) => "deposit paid back",
        (MovementKind::Refunded, Lang::De) => "Kaution zurückgezahlt",
        (MovementKind::Repaid, Lang::En) => "paid back afterwards",
        (MovementKind::Repaid, Lang::De) => "nachträglich zurückgezahlt",
        (MovementKind::ChargedBack, Lang::En) => "charged back by the bank",
        (MovementKind::ChargedBack, Lang::De) => "von der Bank zurückgebucht",
        (MovementKind::WrittenOff, Lang::En) => "written off",
        (MovementKind::WrittenOff, Lang::De) => "ausgebucht",
    }
}

pub(crate) const fn means(means: Means, lang: Lang) -> &'static str {
    match (means, lang) {
        (Means::Card, Lang::En) => "card",
        (Means::Card, Lang::De) => "Karte",
        (Means::Cash, Lang::En) => "cash",
        (Means::Cash, Lang::De) => "bar",
        (Means::Transfer, Lang::En) => "transfer",
        (Means::Transfer, Lang::De) => "Überweisung",
        (Means::None, _) => "–",
    }
}
