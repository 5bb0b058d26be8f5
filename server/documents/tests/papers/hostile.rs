//! What people write is set as they wrote it, whatever it looks like to a machine.

use crate::sample::{came_back, handover, statement};
use crate::{TERMS, joined, set};
use handsel_documents::{record, statement_paper};
use handsel_domain::text::Lang;

/// Looks like the typesetting's own language.
const MARKUP: [&str; 12] = [
    "#panic()",
    "#panic(\"out\")",
    "*a* _b_ `c`",
    "$x$",
    "]",
    "}) #read(\"/etc/passwd\")",
    "#import \"@preview/x:1.0.0\": *",
    "= Heading",
    "// gone /* gone */",
    "\\u{41} \\ ~ --- ... @ref <label>",
    "<script>alert(1)</script>",
    "%PDF-1.7 endobj /JavaScript",
];

/// Without spaces: lines may break wherever a path or an address allows it.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

#[test]
fn markup_in_names_is_set_as_it_stands() {
    let words = MARKUP.join(" | ");
    let mut told = handover();
    told.hirer.clone_from(&words);
    told.vehicle.clone_from(&words);
    told.operator.name.clone_from(&words);
    told.depot.name.clone_from(&words);
    told.inspection.signatures[0].name.clone_from(&words);
    told.inspection.entries[0].note = Some(words.clone());
    told.register[0].note = Some(words.clone());
    told.due.clear();
    told.inspection.briefings.clear();
    told.template.stops.truncate(1);
    let pdf = set(&record(&told, Lang::En));
    let text = joined(&pdf.text());
    assert!(squeezed(&text).matches(&squeezed(&words)).count() >= 8, "{text}");
    assert!(pdf.info().contains(&format!("Handover record F-1042, {words}")), "{}", pdf.info());
    let _ = pdf.checked();
}

#[test]
fn markup_in_a_statement_is_set_as_it_stands() {
    let mut told = statement(Lang::De, MARKUP.len());
    for (line, words) in told.lines.iter_mut().zip(MARKUP) {
        line.title = words.to_owned();
        line.reason = Some(format!("weil {words}"));
        line.because = vec![words.to_owned()];
    }
    told.movements[0].reference = Some("#panic() $x$ ]".to_owned());
    let pdf = set(&statement_paper(&told, TERMS, Lang::De));
    let text = joined(&pdf.text());
    for words in MARKUP {
        let wanted = format!("Begründung der Entscheidung: weil {words}");
        assert!(squeezed(&text).contains(&squeezed(&wanted)), "{words} in {text}");
    }
    assert!(text.contains("#panic() $x$ ]"));
    let _ = pdf.checked();
}

#[test]
fn any_script_can_be_read_or_is_shown_by_its_numbers() {
    let mut told = came_back();
    told.hirer = "Zoë Ångström-Łęcka Ωμέγα Жанна שלום العربية".to_owned();
    told.inspection.signatures[0].name = "李雷 🚐\u{200d}🔥 \u{202e}drawkcab\u{0}".to_owned();
    let pdf = set(&record(&told, Lang::En));
    let text = joined(&pdf.text());
    assert!(text.contains("Zoë Ångström-Łęcka Ωμέγα Жанна"), "{text}");
    // Right to left is told between marks of direction.
    let plain: String = text.chars().filter(|c| !matches!(c, '\u{202a}'..='\u{202e}')).collect();
    assert!(plain.contains("שלום") && plain.contains("العربية"), "{plain}");
    assert!(text.contains("‹U+674E›‹U+96F7› ‹U+1F690›"), "{text}");
    assert!(text.contains("‹U+1F525› ‹U+202E›drawkcab‹U+0000›"), "{text}");
    let _ = pdf.checked();
}

#[test]
fn two_hundred_letters_without_a_space_stay_on_the_page_and_can_be_copied() {
    let long = "Wgm".repeat(67);
    let mut told = came_back();
    told.hirer.clone_from(&long);
    told.vehicle.clone_from(&long);
    told.reference = "R".repeat(200);
    told.inspection.signatures[0].name.clone_from(&long);
    told.inspection.hirer_absent.as_mut().unwrap().reason.clone_from(&long);
    for entry in &mut told.inspection.entries {
        entry.note = Some(long.clone());
    }
    told.template.stops.truncate(2);
    let mut bill = statement(Lang::En, 3);
    for line in &mut bill.lines {
        line.title.clone_from(&long);
        line.reason = Some(long.clone());
    }
    bill.movements[0].reference = Some(long.clone());
    bill.operator.name.clone_from(&long);
    for pdf in [set(&record(&told, Lang::De)), set(&statement_paper(&bill, TERMS, Lang::De))] {
        for page in pdf.printed() {
            assert!(page.within(), "{page:?}");
        }
        let text: String = pdf.text().split_whitespace().collect();
        assert!(text.matches(&long).count() >= 4, "{text}");
        assert!(!pdf.text().contains('\u{200b}'));
        let _ = pdf.checked();
    }
}

#[test]
fn every_character_below_the_surrogates_can_be_set_in_every_weight() {
    let all: Vec<char> = (0x20..0xd800_u32).chain(0xe000..0x1_1000).filter_map(char::from_u32).collect();
    // What is shown by its number is tested by the rest; a document of numbers alone would take long.
    let samples: String = all.chunks(97).map(|chunk| chunk[0]).chain(all.iter().copied().take(0x700)).collect();
    let mut told = statement(Lang::En, 1);
    told.lines.truncate(1);
    told.lines[0].title =
        samples.chars().collect::<Vec<_>>().chunks(40).map(String::from_iter).collect::<Vec<_>>().join(" ");
    told.hirer.clone_from(&samples);
    told.reference = "ﬁ ﬀ ǅ ‰ ℓ № Å \u{301}a\u{301}\u{323}".to_owned();
    let pdf = set(&statement_paper(&told, TERMS, Lang::En));
    let _ = pdf.checked();
    assert!(pdf.text().contains('Ж'));
}
