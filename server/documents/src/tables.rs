//! Reports as tables: a CSV for each, and one workbook of all.

use csv::WriterBuilder;
use handsel_domain::ids::StaffId;
use handsel_domain::money::Money;
use handsel_domain::report::Report;
use handsel_domain::tariff::RuleKind;
use handsel_domain::text::Lang;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};
use std::collections::BTreeMap;

/// A value of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    Text(String),
    Whole(i64),
    Money(Money),
    Empty,
}

/// One table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Names its file or sheet: `charges`, `reasons`, `disputes`, `waiting`, `briefings`, `damage`.
    pub name: &'static str,
    pub title: String,
    pub columns: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
}

/// Why tables could not be written.
#[derive(Debug)]
pub struct TableError(pub String);

impl std::fmt::Display for TableError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the tables cannot be written: {}", self.0)
    }
}

impl std::error::Error for TableError {}

fn word(lang: Lang, en: &str, de: &str) -> String {
    match lang {
        Lang::En => en.to_owned(),
        Lang::De => de.to_owned(),
    }
}

fn rule(kind: RuleKind, lang: Lang) -> String {
    let (en, de) = match kind {
        RuleKind::Distance => ("Distance", "Kilometer"),
        RuleKind::Lateness => ("Lateness", "Verspätung"),
        RuleKind::Fuel => ("Fuel", "Kraftstoff"),
        RuleKind::Lpg => ("Gas", "Gas"),
        RuleKind::Cassette => ("Toilet cassette", "Toilettenkassette"),
        RuleKind::WasteWater => ("Waste water", "Abwasser"),
        RuleKind::Cleanliness => ("Cleanliness", "Sauberkeit"),
        RuleKind::Inventory => ("Kit", "Ausstattung"),
        RuleKind::Damage => ("Damage", "Schaden"),
        RuleKind::Repair => ("Repair", "Reparatur"),
    };
    word(lang, en, de)
}

fn count(number: u32) -> Cell {
    Cell::Whole(i64::from(number))
}

fn hours(number: Option<i64>) -> Cell {
    number.map_or(Cell::Empty, Cell::Whole)
}

/// The tables of a report.
#[must_use]
pub fn tables(report: &Report, staff: &BTreeMap<StaffId, String>, lang: Lang) -> Vec<Table> {
    let w = |en: &str, de: &str| word(lang, en, de);
    let charges = report.charges.iter().map(|row| {
        vec![
            Cell::Text(rule(row.rule, lang)),
            count(row.lines),
            Cell::Money(row.proposed),
            Cell::Money(row.charged),
            Cell::Money(row.let_off),
            count(row.waived),
            count(row.adjusted),
            count(row.open),
        ]
    });
    let reasons = report
        .reasons
        .iter()
        .map(|row| vec![Cell::Text(row.reason.clone()), count(row.lines), Cell::Money(row.let_off)]);
    let d = report.disputes;
    let disputes = [
        (w("Won by the hirer", "Vom Mieter gewonnen"), d.upheld),
        (w("Won in part", "Zum Teil gewonnen"), d.partly_upheld),
        (w("Lost by the hirer", "Vom Mieter verloren"), d.rejected),
        (w("Taken back", "Zurückgenommen"), d.withdrawn),
        (w("Not answered yet", "Noch nicht beantwortet"), d.open),
    ];
    let v = report.waited;
    let waited = [
        (w("Settled returns", "Abgerechnete Rückgaben"), count(v.settled)),
        (w("Hours until settled, median", "Stunden bis zur Abrechnung, Median"), hours(v.median_hours)),
        (w("Hours for nine in ten", "Stunden für neun von zehn"), hours(v.ninth_decile_hours)),
        (w("Longest, hours", "Längste, Stunden"), hours(v.longest_hours)),
        (w("Not settled yet", "Noch nicht abgerechnet"), count(v.not_settled)),
    ];
    let missed = report.missed.iter().map(|row| {
        let name = row.staff.and_then(|id| staff.get(&id).cloned()).map_or(Cell::Empty, Cell::Text);
        vec![Cell::Text(row.topic.clone()), name, count(row.times), count(row.overridden)]
    });
    let damage = report.damage.iter().map(|row| {
        vec![Cell::Text(row.layout.clone()), Cell::Text(row.panel.clone()), count(row.times), Cell::Money(row.proposed)]
    });
    let table = |name, title, columns: Vec<String>, rows| Table { name, title, columns, rows };
    vec![
        table(
            "charges",
            w("Charges", "Berechnungen"),
            vec![
                w("Kind", "Art"),
                w("Lines", "Positionen"),
                w("Proposed", "Vorgeschlagen"),
                w("Charged", "Berechnet"),
                w("Let off", "Erlassen"),
                w("Waived", "Verzichtet"),
                w("Lowered", "Gesenkt"),
                w("Open", "Offen"),
            ],
            charges.collect(),
        ),
        table(
            "reasons",
            w("Why charges were let off", "Warum erlassen wurde"),
            vec![w("Reason", "Grund"), w("Lines", "Positionen"), w("Let off", "Erlassen")],
            reasons.collect(),
        ),
        table(
            "disputes",
            w("Disputes", "Widersprüche"),
            vec![w("Outcome", "Ausgang"), w("Disputes", "Widersprüche")],
            disputes.into_iter().map(|(name, number)| vec![Cell::Text(name), count(number)]).collect(),
        ),
        table(
            "waiting",
            w("From return to settlement", "Von der Rückgabe zur Abrechnung"),
            vec![w("Figure", "Größe"), w("Value", "Wert")],
            waited.into_iter().map(|(name, value)| vec![Cell::Text(name), value]).collect(),
        ),
        table(
            "briefings",
            w("Briefings that were due and missed", "Fällige, versäumte Einweisungen"),
            vec![
                w("Topic", "Thema"),
                w("Departure signed by", "Abfahrt unterschrieben von"),
                w("Times", "Male"),
                w("Gone on without, with a reason", "Mit Begründung übergangen"),
            ],
            missed.collect(),
        ),
        table(
            "damage",
            w("New damage by place", "Neue Schäden nach Ort"),
            vec![w("Layout", "Grundriss"), w("Panel", "Fläche"), w("Marks", "Schäden"), w("Proposed", "Vorgeschlagen")],
            damage.collect(),
        ),
    ]
}

/// A table as CSV (RFC 4180). Text that a spreadsheet would reckon with is made plain by an apostrophe.
///
/// # Errors
/// It cannot be written; into memory it always can.
pub fn csv(table: &Table) -> Result<Vec<u8>, TableError> {
    let wrong = |e: csv::Error| TableError(e.to_string());
    let mut writer = WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(table.columns.iter().map(|c| plain(c))).map_err(wrong)?;
    for row in &table.rows {
        let values = row.iter().map(|cell| match cell {
            Cell::Text(text) => plain(text),
            Cell::Whole(number) => number.to_string(),
            Cell::Money(money) => money.plain(),
            Cell::Empty => String::new(),
        });
        writer.write_record(values).map_err(wrong)?;
    }
    writer.into_inner().map_err(|e| TableError(e.to_string()))
}

fn plain(text: &str) -> String {
    let reckons = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if reckons { format!("'{text}") } else { text.to_owned() }
}

/// All tables as sheets of one workbook (ISO/IEC 29500). The same tables make the same bytes.
///
/// # Errors
/// The workbook cannot be written.
pub fn workbook(tables: &[Table]) -> Result<Vec<u8>, TableError> {
    let wrong = |e: XlsxError| TableError(e.to_string());
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1).map_err(wrong)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let bold = Format::new().set_bold();
    for table in tables {
        let sheet = book.add_worksheet();
        sheet.set_name(table.title.chars().take(31).collect::<String>()).map_err(wrong)?;
        for (column, name) in (0..).zip(&table.columns) {
            sheet.write_with_format(0, column, name, &bold).map_err(wrong)?;
        }
        for (line, row) in (1..).zip(&table.rows) {
            for (column, cell) in (0..).zip(row) {
                match cell {
                    Cell::Text(text) => sheet.write_string(line, column, text),
                    Cell::Whole(number) => sheet.write_number(line, column, float(&number.to_string())?),
                    Cell::Money(money) => {
                        let places = usize::try_from(money.currency.exponent()).unwrap_or_default();
                        let form = if places == 0 { "0".to_owned() } else { format!("0.{}", "0".repeat(places)) };
                        let format = Format::new().set_num_format(form);
                        sheet.write_number_with_format(line, column, float(&money.plain())?, &format)
                    }
                    Cell::Empty => continue,
                }
                .map_err(wrong)?;
            }
        }
        sheet.set_freeze_panes(1, 0).map_err(wrong)?;
        sheet.autofit();
    }
    book.save_to_buffer().map_err(wrong)
}

fn float(text: &str) -> Result<f64, TableError> {
    text.parse().map_err(|_| TableError(format!("`{text}` is no number")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use handsel_domain::money::Currency;

    #[test]
    fn text_that_would_be_reckoned_with_is_made_plain_and_money_is_a_number() {
        let table = Table {
            name: "reasons",
            title: "Reasons".to_owned(),
            columns: vec!["Reason".to_owned(), "Let off".to_owned()],
            rows: vec![
                vec![Cell::Text("=1+1".to_owned()), Cell::Money(Money::new(-1_234_567, Currency::Gbp))],
                vec![Cell::Text("goodwill, \"once\"".to_owned()), Cell::Empty],
            ],
        };
        let text = String::from_utf8(csv(&table).unwrap()).unwrap();
        assert_eq!(text, "Reason,Let off\r\n'=1+1,-12345.67\r\n\"goodwill, \"\"once\"\"\",\r\n");
        let book = workbook(std::slice::from_ref(&table)).unwrap();
        assert_eq!(book, workbook(&[table]).unwrap());
        assert!(book.starts_with(b"PK"));
    }
}
