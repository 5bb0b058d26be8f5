//! The statement as one self-contained page: no script, no outside resource, prints on paper.

use crate::statement::{Statement, StatementLine};
use crate::statement_words::{PageWords, means, moved, movement, number, state, tax, words};
use handsel_domain::charges::Part;
use handsel_domain::shown::{moment, money};
use handsel_domain::text::Lang;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = "
:root { color-scheme: light; }
body { font: 1rem/1.5 Georgia, 'Times New Roman', serif; color: #1b1b18; background: #fbf9f3; max-width: 46rem;
  margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.7rem; margin: 0; } h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; border-bottom: 1px solid #1b1b18; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1.2rem; margin: 1rem 0; } dt { color: #55524a; }
dd { margin: 0; } table { width: 100%; border-collapse: collapse; } caption { text-align: left; }
th { text-align: left; font-weight: normal; color: #55524a; } td, th { padding: .35rem .5rem .35rem 0; vertical-align: top; }
tbody tr { border-top: 1px solid #cfc9b8; } .money { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.total td { font-weight: bold; border-top: 2px solid #1b1b18; } .why { margin: .2rem 0 0; padding: 0; list-style: none; color: #3c3a34; font-size: .93rem; }
.state { font-style: italic; } .provisional { border: 2px solid #1b1b18; padding: .5rem .8rem; margin: 1rem 0; }
@media print { body { background: none; margin: 0; } tr { break-inside: avoid; } }
";

/// The whole page.
#[must_use]
pub fn html(statement: &Statement, lang: Lang) -> String {
    let w = words(lang);
    let title = format!("{} {}", w.title, statement.reference);
    html! {
        (DOCTYPE)
        html lang=(w.lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header { p { (statement.operator.name) br; (statement.operator.address) } h1 { (title) } }
                main {
                    (standing(statement, w, lang))
                    (facts(statement, w, lang))
                    h2 { (w.charges) }
                    (charges(statement, w, lang))
                    h2 { (w.tax) }
                    (taxes(statement, w, lang))
                    h2 { (w.deposit) }
                    (deposit(statement, w, lang))
                    h2 { (w.questions) }
                    p { (w.dispute) }
                    p { (statement.operator.contact) }
                }
            }
        }
    }
    .into_string()
}

fn standing(statement: &Statement, w: &PageWords, lang: Lang) -> Markup {
    match statement.closed_at {
        Some(at) => html! { p { (w.closed) " " (moment(statement.zone, at, lang)) } },
        None => html! { p.provisional { strong { (w.provisional) } } },
    }
}

fn facts(statement: &Statement, w: &PageWords, lang: Lang) -> Markup {
    let zone = statement.zone;
    html! {
        dl {
            @if !statement.hirer.is_empty() { dt { (w.hirer) } dd { (statement.hirer) } }
            dt { (w.vehicle) } dd { (statement.vehicle) ", " (statement.registration) }
            dt { (w.agreed) }
            dd { (moment(zone, statement.agreed_departure, lang)) " " (w.to) " " (moment(zone, statement.agreed_return, lang)) " (" (zone) ")" }
            @if let Some(at) = statement.returned_at { dt { (w.returned) } dd { (moment(zone, at, lang)) } }
            dt { (w.hire_days) } dd { (statement.hire_days) }
        }
    }
}

fn charges(statement: &Statement, w: &PageWords, lang: Lang) -> Markup {
    if statement.lines.is_empty() {
        return html! { p { (w.nothing_charged) } };
    }
    html! {
        table {
            thead { tr { th scope="col" { (w.item) } th.money scope="col" { (w.amount) } } }
            tbody {
                @for line in &statement.lines { (charge(line, w, lang)) }
                tr.total { td { (w.total_charged) } td.money { (money(statement.charged, lang)) } }
            }
        }
    }
}

fn charge(line: &StatementLine, w: &PageWords, lang: Lang) -> Markup {
    html! {
        tr {
            td {
                strong { (line.title) } " " span.state { "(" (state(line.state, lang)) "; " (tax(line.tax, lang)) ")" }
                ul.why {
                    @for sentence in &line.because { li { (sentence) } }
                    @for step in &line.parts { li { (part(step, lang)) } }
                    @if let Some(reason) = &line.reason { li { (w.reason) ": " (reason) } }
                }
            }
            td.money { (money(line.amount, lang)) }
        }
    }
}

fn part(part: &Part, lang: Lang) -> String {
    let amount = money(part.amount, lang);
    match (part.quantity, part.unit_price) {
        (Some(quantity), Some(price)) => {
            let unit = part.unit.as_deref().map(|u| format!(" {u}")).unwrap_or_default();
            format!("{}: {}{unit} × {} = {amount}", part.words, number(quantity, lang), money(price, lang))
        }
        _ => format!("{}: {amount}", part.words),
    }
}

fn taxes(statement: &Statement, w: &PageWords, lang: Lang) -> Markup {
    if statement.tax.is_empty() {
        return html! { p { (w.nothing_charged) } };
    }
    html! {
        table {
            thead { tr { th scope="col" { (w.tax) } th.money scope="col" { (w.amount) } th.money scope="col" { (w.tax_inside) } } }
            tbody {
                @for group in &statement.tax {
                    tr {
                        td { (tax(group.tax, lang)) }
                        td.money { (money(group.total, lang)) }
                        td.money { (money(group.tax_inside, lang)) }
                    }
                }
            }
        }
    }
}

fn deposit(statement: &Statement, w: &PageWords, lang: Lang) -> Markup {
    let zone = statement.zone;
    html! {
        @if statement.movements.is_empty() {
            p { (w.no_movements) }
        } @else {
            table {
                thead { tr {
                    th scope="col" { (w.when) } th scope="col" { (w.movement) } th scope="col" { (w.reference) }
                    th.money scope="col" { (w.amount) }
                } }
                tbody {
                    @for m in &statement.movements {
                        tr {
                            td { (moment(zone, m.at, lang)) }
                            td { (movement(m.kind, lang)) " (" (means(m.means, lang)) ")" }
                            td { (m.reference.as_deref().unwrap_or("–")) }
                            td.money { (moved(m.amount, lang)) }
                        }
                    }
                }
            }
        }
        dl {
            dt { (w.held) } dd { (money(statement.balances.held, lang)) }
            dt { (w.received) } dd { (money(statement.balances.received, lang)) }
            @if !statement.balances.written_off.is_zero() {
                dt { (w.written_off) } dd { (money(statement.balances.written_off, lang)) }
            }
            @if statement.outstanding.is_negative() {
                dt { (w.owed_to_hirer) }
                dd { (money(handsel_domain::money::Money::new(-statement.outstanding.minor, statement.outstanding.currency), lang)) }
            } @else {
                dt { (w.outstanding) } dd { (money(statement.outstanding, lang)) }
            }
        }
    }
}
