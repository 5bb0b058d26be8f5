//! The statement, typeset.

use crate::draft::{Column, Draft, Paper, Part, Row, foot, tag_of};
use crate::statement::{Statement, StatementLine};
use crate::statement_words::{PageWords, means, moved, movement, number, state, tax, words as statement_words};
use crate::words::{Words, words};
use handsel_domain::charges::Part as Step;
use handsel_domain::money::Money;
use handsel_domain::shown::{moment, money};
use handsel_domain::text::Lang;
use handsel_domain::time::Instant;

/// Until when lines can be disputed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DisputeTerms {
    /// Days after the settlement is closed.
    pub days: u32,
    /// The last moment, once that is known.
    pub until: Option<Instant>,
}

/// Drafts the itemised statement; provisional until the settlement is closed.
#[must_use]
pub fn statement_paper(statement: &Statement, terms: DisputeTerms, lang: Lang) -> Draft {
    let (w, p) = (words(lang), statement_words(lang));
    let mut draft = Draft::new(paper(statement, w, p, lang), as_of(statement));
    draft.push(Part::Lead { text: format!("{}, {}", statement.vehicle, statement.registration) });
    draft.push(Part::Notice { label: standing(statement, p, lang), text: String::new() });
    draft.push(Part::Facts { rows: facts(statement, w, p, lang) });
    draft.heading(p.charges);
    charges(&mut draft, statement, w, p, lang);
    draft.heading(p.tax);
    taxes(&mut draft, statement, p, lang);
    draft.heading(p.deposit);
    deposit(&mut draft, statement, p, lang);
    draft.heading(p.questions);
    draft.push(Part::Notice { label: until(statement, terms, w, lang), text: w.dispute_how.to_owned() });
    draft.push(Part::Facts { rows: contact(statement, w) });
    draft
}

/// The last moment that the statement tells of.
fn as_of(statement: &Statement) -> Instant {
    let moved = statement.movements.iter().map(|m| m.at);
    let told = moved.chain(statement.closed_at).chain(statement.returned_at).max();
    told.unwrap_or(statement.agreed_departure)
}

fn paper(statement: &Statement, w: &Words, p: &PageWords, lang: Lang) -> Paper {
    let (tag, region) = tag_of(lang);
    let title = format!("{} {}", p.title, statement.reference);
    let operator = [&statement.operator.name, &statement.operator.address, &statement.operator.contact];
    Paper {
        lang: tag,
        region,
        document_title: format!("{title}, {}", statement.vehicle),
        author: statement.operator.name.clone(),
        description: w.about_statement.to_owned(),
        footer: foot(&format!("{title} · {}", standing(statement, p, lang))),
        title,
        page_words: w.page,
        operator: operator.into_iter().filter(|o| !o.is_empty()).cloned().collect(),
        parts: Vec::new(),
    }
}

fn standing(statement: &Statement, p: &PageWords, lang: Lang) -> String {
    match statement.closed_at {
        Some(at) => format!("{} {}", p.closed, moment(statement.zone, at, lang)),
        None => p.provisional.to_owned(),
    }
}

fn facts(statement: &Statement, w: &Words, p: &PageWords, lang: Lang) -> Vec<(String, String)> {
    let zone = statement.zone;
    let rows = [
        (p.hirer, statement.hirer.clone()),
        (p.vehicle, format!("{}, {}", statement.vehicle, statement.registration)),
        (w.depot, statement.depot.clone()),
        (
            p.agreed,
            format!(
                "{} {} {}",
                moment(zone, statement.agreed_departure, lang),
                p.to,
                moment(zone, statement.agreed_return, lang)
            ),
        ),
        (p.returned, statement.returned_at.map(|at| moment(zone, at, lang)).unwrap_or_default()),
        (p.hire_days, statement.hire_days.to_string()),
        (w.times, zone.to_string()),
    ];
    rows.into_iter().filter(|(_, value)| !value.is_empty()).map(|(name, value)| (name.to_owned(), value)).collect()
}

fn charges(draft: &mut Draft, statement: &Statement, w: &'static Words, p: &'static PageWords, lang: Lang) {
    if statement.lines.is_empty() {
        draft.text(p.nothing_charged);
        return;
    }
    let mut rows: Vec<Row> = statement.lines.iter().map(|line| charge(line, p, lang)).collect();
    rows.push(Row {
        cells: vec![vec![p.total_charged.to_owned()], Vec::new(), vec![money(statement.charged, lang)]],
        strong: true,
    });
    let columns = vec![Column::bold(w.charge_for, 5), Column::new(w.tax_treatment, 2), Column::right(p.amount)];
    draft.push(Part::Table { columns, rows });
}

fn charge(line: &StatementLine, p: &PageWords, lang: Lang) -> Row {
    let mut words = vec![line.title.clone(), format!("({})", state(line.state, lang))];
    words.extend(line.because.iter().cloned());
    words.extend(line.parts.iter().map(|step| reckoned(step, lang)));
    words.extend(line.reason.as_ref().map(|reason| format!("{}: {reason}", p.reason)));
    Row::new(vec![words, vec![tax(line.tax, lang)], vec![money(line.amount, lang)]])
}

fn reckoned(step: &Step, lang: Lang) -> String {
    let amount = money(step.amount, lang);
    match (step.quantity, step.unit_price) {
        (Some(quantity), Some(price)) => {
            let unit = step.unit.as_deref().map(|u| format!(" {u}")).unwrap_or_default();
            format!("{}: {}{unit} × {} = {amount}", step.words, number(quantity, lang), money(price, lang))
        }
        _ => format!("{}: {amount}", step.words),
    }
}

fn taxes(draft: &mut Draft, statement: &Statement, p: &'static PageWords, lang: Lang) {
    if statement.tax.is_empty() {
        draft.text(p.nothing_charged);
        return;
    }
    let groups = statement.tax.iter();
    let rows =
        groups.map(|g| Row::plain([tax(g.tax, lang), money(g.total, lang), money(g.tax_inside, lang)])).collect();
    let columns = vec![Column::new(p.tax, 1), Column::right(p.amount), Column::right(p.tax_inside)];
    draft.push(Part::Table { columns, rows });
}

fn deposit(draft: &mut Draft, statement: &Statement, p: &'static PageWords, lang: Lang) {
    if statement.movements.is_empty() {
        draft.text(p.no_movements);
    } else {
        let movements = statement.movements.iter();
        let rows = movements
            .map(|m| {
                Row::plain([
                    moment(statement.zone, m.at, lang),
                    format!("{} ({})", movement(m.kind, lang), means(m.means, lang)),
                    m.reference.clone().unwrap_or_else(|| "–".to_owned()),
                    moved(m.amount, lang),
                ])
            })
            .collect();
        let columns = vec![
            Column::new(p.when, 3),
            Column::new(p.movement, 5),
            Column::new(p.reference, 4),
            Column::right(p.amount),
        ];
        draft.push(Part::Table { columns, rows });
    }
    draft.push(Part::Facts { rows: balances(statement, p, lang) });
}

fn balances(statement: &Statement, p: &PageWords, lang: Lang) -> Vec<(String, String)> {
    let left = statement.outstanding;
    let mut rows = vec![(p.held, statement.balances.held), (p.received, statement.balances.received)];
    if !statement.balances.written_off.is_zero() {
        rows.push((p.written_off, statement.balances.written_off));
    }
    rows.push(if left.is_negative() {
        (p.owed_to_hirer, Money::new(left.minor.saturating_neg(), left.currency))
    } else {
        (p.outstanding, left)
    });
    rows.into_iter().map(|(name, amount)| (name.to_owned(), money(amount, lang))).collect()
}

fn until(statement: &Statement, terms: DisputeTerms, w: &Words, lang: Lang) -> String {
    match terms.until {
        Some(at) => format!("{} {}.", w.dispute_until, moment(statement.zone, at, lang)),
        None => {
            let [before, after] = w.dispute_days;
            format!("{before} {} {after}", terms.days)
        }
    }
}

fn contact(statement: &Statement, w: &Words) -> Vec<(String, String)> {
    let operator = &statement.operator;
    let all = [operator.name.as_str(), &operator.address, &operator.contact];
    let words = all.into_iter().filter(|o| !o.is_empty()).collect::<Vec<_>>().join(", ");
    if words.is_empty() { Vec::new() } else { vec![(w.contact.to_owned(), words)] }
}
