//! Typeset documents, read again by two independent tools.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test fails by panicking")]

mod hostile;
mod sample;
mod tools;

use handsel_documents::{DisputeTerms, Draft, PaperError, Record, record, statement_paper};
use handsel_domain::inspection::Leg;
use handsel_domain::text::Lang;
use sample::{came_back, given, handover, statement};
use std::collections::BTreeMap;
use tools::Pdf;

pub(crate) const TERMS: DisputeTerms = DisputeTerms { days: 28, until: None };

#[track_caller]
pub(crate) fn set(draft: &Draft) -> Pdf {
    Pdf::new(&draft.set(given(draft)).unwrap())
}

/// Words one after the other, each behind the one before. Lines are joined: where they break is not the matter here.
#[track_caller]
fn in_order(text: &str, wanted: &[&str]) {
    let text = joined(text);
    let mut from = 0;
    for words in wanted {
        let found = text[from..].find(words);
        from +=
            found.unwrap_or_else(|| panic!("`{words}` is not behind the words before it in:\n{text}")) + words.len();
    }
}

pub(crate) fn joined(text: &str) -> String {
    // The foot of a page is no part of a sentence that runs on.
    let body: String = text.lines().filter(|l| !l.contains("F-1042 · ")).map(|l| format!("{l}\n")).collect();
    body.replace("\u{ad}\n", "").replace('\u{ad}', "").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What every document must be.
#[track_caller]
fn sound(pdf: &Pdf, title: &str, lang: &str) {
    let info = pdf.info();
    let told = |name: &str| info.lines().find_map(|l| l.strip_prefix(name)).map_or("", str::trim).to_owned();
    assert_eq!(told("Title:"), title);
    assert_eq!(told("Tagged:"), "yes");
    assert_eq!(told("Encrypted:"), "no");
    assert!(told("Page size:").contains("A4"), "{info}");
    assert!(!told("Author:").is_empty() && !told("CreationDate:").is_empty(), "{info}");
    let metadata = pdf.metadata();
    for wanted in
        ["<pdfaid:part>2</pdfaid:part>", "<pdfaid:conformance>A</pdfaid:conformance>", "<pdfuaid:part>1</pdfuaid:part>"]
    {
        assert!(metadata.contains(wanted), "{wanted} is not in {metadata}");
    }
    let plain = pdf.checked();
    assert!(plain.contains(&format!("/Lang ({lang})")), "no language");
    assert!(plain.contains("/DisplayDocTitle true"), "the title is not displayed");
    for page in pdf.printed() {
        assert!(page.within(), "something is printed in the margin: {page:?}");
        assert!(page.dark > 50, "an empty page");
    }
}

#[test]
fn a_handover_record_says_everything_in_order() {
    for (lang, tag, title, sentences) in [
        (
            Lang::En,
            "en-GB",
            "Handover record F-1042, Bracken",
            [
                "Fernway Example Hire",
                "Handover record F-1042",
                "Bracken, TEST 1",
                "Signed and sealed on 28 Mar 2026, 14:06",
                "The hirer was present and signed.",
                "2.90 m high, 2.32 m wide, 7.23 m long, at most 3500 kg",
                "Readings",
                "Fuel",
                "8/8",
                "Damage known at handover",
                "The ring on the photograph shows the place.",
                "40 mm, through the finish",
                "First seen on this walk-round.",
                "The state it left in",
                "Nearside body",
                "Mains inlet",
                "needs attention",
                "Note: Flap does not close by itself; taped.",
                "Loose kit",
                "Photographs of the walk-round",
                "What the hirer was told",
                "Shown 28 Mar 2026, 13:50, acknowledged by the hirer 28 Mar 2026, 13:51. Must be acknowledged before departure.",
                "If you smell gas: no flame, no light switch, no phone inside.",
                "Caution",
                "Never look for a leak with a flame",
                "the maker's handbook of the vehicle and of the appliance and local rules come first",
                "Signatures",
                "Kim Hirer",
                "Ada Desk",
                "Seal",
                "SHA-256 of the seal",
                "5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e",
                "If something is wrong",
                "Close the valve on the gas cylinder",
                "Then call us",
                "The makers' handbooks of the vehicle and its appliances, local rules",
            ],
        ),
        (
            Lang::De,
            "de-DE",
            "Übergabeprotokoll F-1042, Bracken",
            [
                "Fernway Example Hire",
                "Übergabeprotokoll F-1042",
                "Bracken, TEST 1",
                "Unterschrieben und versiegelt am 28.03.2026, 14:06",
                "Der Mieter war anwesend und hat unterschrieben.",
                "2,90 m hoch, 2,32 m breit, 7,23 m lang, höchstens 3500 kg",
                "Messwerte",
                "Tank",
                "8/8",
                "Bei der Übergabe bekannte Schäden",
                "Der Ring auf dem Foto zeigt die Stelle.",
                "40 mm",
                "Auf diesem Rundgang erstmals gesehen.",
                "Der Zustand bei der Übergabe",
                "Beifahrerseite außen",
                "Stromanschluss außen",
                "nicht in Ordnung",
                "Anmerkung: Flap does not close by itself; taped.",
                "Lose Ausstattung",
                "Fotos des Rundgangs",
                "Was dem Mieter erklärt wurde",
                "Gezeigt 28.03.2026, 13:50, vom Mieter bestätigt 28.03.2026, 13:51. Muss vor der Abfahrt bestätigt werden.",
                "Wenn Sie Gas riechen: keine Flamme, kein Lichtschalter, kein Telefon im Fahrzeug.",
                "Achtung",
                "Suchen Sie ein Leck nie mit einer",
                "gehen die Herstelleranleitungen des Fahrzeugs und der Geräte und die örtlichen Vorschriften vor",
                "Unterschriften",
                "Kim Hirer",
                "Ada Desk",
                "Siegel",
                "SHA-256 des Siegels",
                "5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e5e",
                "Wenn etwas nicht stimmt",
                "Das Ventil der Gasflasche schließen",
                "Dann rufen Sie uns an",
                "Die Herstelleranleitungen des Fahrzeugs und seiner Geräte",
            ],
        ),
    ] {
        let pdf = set(&record(&handover(), lang));
        sound(&pdf, title, tag);
        in_order(&pdf.text(), &sentences);
        told_in_full(&pdf.text(), &handover(), lang);
        assert!((6..=24).contains(&pdf.pages()), "{} pages", pdf.pages());
    }
}

/// Every paragraph and every caution, wherever its lines break.
#[track_caller]
fn told_in_full(text: &str, told: &Record, lang: Lang) {
    let squeezed = |words: &str| words.chars().filter(|c| !c.is_whitespace() && *c != '-').collect::<String>();
    let text = squeezed(&joined(text));
    for topic in &told.template.briefings {
        for words in topic.body.iter().chain(&topic.caution) {
            assert!(text.contains(&squeezed(words.get(lang))), "{lang:?}: {}", words.get(lang));
        }
    }
}

#[test]
fn a_return_record_shows_what_differs_and_before_beside_after() {
    for (lang, tag, title, sentences) in [
        (
            Lang::En,
            "en-GB",
            "Return record F-1042, Bracken",
            [
                "Return record F-1042",
                "The hirer was absent: Key through the letter box at night.",
                "Reading At departure At return",
                "8/8",
                "5/8",
                "differs from departure",
                "Damage first seen at return",
                "310 mm",
                "Before: departure",
                "After: return",
                "Known damage that has grown",
                "Note: Pushed in further.",
                "Known damage seen again, no larger than before",
                "The state it came back in",
                "Mains lead in order missing",
                "Note: The hirer left it at the pitch.",
                "differs from departure",
                "Signatures",
                "Key through the letter box at night. (noted 4 Apr 2026, 13:35)",
                "Bo Yard",
            ],
        ),
        (
            Lang::De,
            "de-DE",
            "Rückgabeprotokoll F-1042, Bracken",
            [
                "Rückgabeprotokoll F-1042",
                "Der Mieter war abwesend: Key through the letter box at night.",
                "Messwert Bei Übergabe Bei Rückgabe",
                "8/8",
                "5/8",
                "anders als bei der Übergabe",
                "Bei der Rückgabe erstmals gesehene Schäden",
                "310 mm",
                "Vorher: Übergabe",
                "Nachher: Rückgabe",
                "Bekannte Schäden, die größer geworden sind",
                "Anmerkung: Pushed in further.",
                "Bekannte Schäden, wieder gesehen und nicht größer als zuvor",
                "Der Zustand bei der Rückgabe",
                "Stromkabel in Ordnung fehlt",
                "Anmerkung: The hirer left it at the pitch.",
                "anders als bei der Übergabe",
                "Unterschriften",
                "Key through the letter box at night. (vermerkt 04.04.2026, 13:35)",
                "Bo Yard",
            ],
        ),
    ] {
        let pdf = set(&record(&came_back(), lang));
        sound(&pdf, title, tag);
        in_order(&pdf.text(), &sentences);
        let text = pdf.text();
        // Fuel, odometer, cleanliness inside and the lead, and nothing else.
        let differs = if lang == Lang::En { "differs from departure" } else { "anders als bei der Übergabe" };
        assert_eq!(text.matches(differs).count(), 4, "{text}");
        assert!(!text.contains("smell gas") && !text.contains("Gas riechen"), "briefings belong to the handover");
    }
}

#[test]
fn a_draft_says_that_it_is_one_and_has_no_seal() {
    let mut open = handover();
    open.seal = None;
    open.inspection.signed_at = None;
    open.inspection.signatures.clear();
    open.strokes.clear();
    let text = joined(&set(&record(&open, Lang::En)).text());
    in_order(&text, &["Draft: this record is not signed yet.", "Nobody has signed yet.", "Not sealed"]);
    assert!(!text.contains("5e5e5e5e"));
}

#[test]
fn a_statement_says_everything_in_order() {
    for (lang, tag, title, sentences) in [
        (
            Lang::En,
            "en-GB",
            "Statement of the deposit F-1042, Bracken",
            [
                "Statement of the deposit F-1042",
                "Provisional: not everything has been decided and settled yet.",
                "Kim Hirer",
                "What is charged, and why",
                "Item, how it is reckoned, what was decided Tax Amount",
                "×",
                "Charged altogether",
                "Tax inside what is charged",
                "Where the deposit went",
                "28 Mar 2026, 13:00 deposit placed (card) AUTH-77 £1,000.00",
                "captured from the deposit",
                "Still held £0.00",
                "Questions and disputes",
                "You can dispute any line until 28 days after the settlement is closed.",
                "A line in dispute is put on hold",
                "hello@fernway.example",
            ],
        ),
        (
            Lang::De,
            "de-DE",
            "Abrechnung der Kaution F-1042, Bracken",
            [
                "Abrechnung der Kaution F-1042",
                "Vorläufig: Noch ist nicht alles entschieden und abgerechnet.",
                "Kim Hirer",
                "Was berechnet wird und warum",
                "Posten, wie er berechnet ist, was entschieden wurde Steuer Betrag",
                "×",
                "Berechnet insgesamt",
                "Enthaltene Steuer",
                "Verbleib der Kaution",
                "28.03.2026, 13:00 Kaution hinterlegt (Karte) AUTH-77 1.000,00 £",
                "von der Kaution eingezogen",
                "Noch einbehalten 0,00 £",
                "Fragen und Einwände",
                "Sie können jedem Posten widersprechen bis 28 Tage nach dem Abschluss der Abrechnung.",
                "Ein bestrittener Posten wird zurückgestellt",
                "hello@fernway.example",
            ],
        ),
    ] {
        let told = statement(lang, 0);
        let pdf = set(&statement_paper(&told, TERMS, lang));
        sound(&pdf, title, tag);
        let text = pdf.text();
        in_order(&text, &sentences);
        let text = joined(&text);
        for line in &told.lines {
            assert!(text.contains(&joined(&line.title)), "{}", line.title);
            for sentence in &line.because {
                let squeezed = |t: &str| t.chars().filter(|c| !c.is_whitespace() && *c != '-').collect::<String>();
                assert!(squeezed(&text).contains(&squeezed(sentence)), "{sentence}");
            }
        }
    }
}

#[test]
fn a_closed_statement_names_the_day_until_which_it_can_be_disputed() {
    let mut closed = statement(Lang::En, 0);
    closed.closed_at = Some(sample::at("2026-04-06T10:00:00Z"));
    let terms = DisputeTerms { days: 28, until: Some(sample::at("2026-05-04T10:00:00Z")) };
    let text = joined(&set(&statement_paper(&closed, terms, Lang::En)).text());
    in_order(&text, &["Closed on 6 Apr 2026, 11:00", "You can dispute any line until 4 May 2026, 11:00."]);
    assert!(!text.contains("Provisional"));
}

#[test]
fn forty_lines_run_over_pages_that_repeat_the_head_and_count() {
    for lang in Lang::ALL {
        let told = statement(lang, 40);
        assert_eq!(told.lines.len(), 40);
        let pdf = set(&statement_paper(&told, TERMS, lang));
        let pages = pdf.pages();
        assert!(pages >= 3, "{pages}");
        let text = pdf.layout();
        let (head, page, of) = if lang == Lang::En {
            ("how it is reckoned", "Page", "of")
        } else {
            ("wie er berechnet ist", "Seite", "von")
        };
        for n in 1..=pages {
            assert!(text.contains(&format!("{page} {n} {of} {pages}")), "{text}");
        }
        assert!(text.matches(head).count() >= 3, "the head is not repeated");
        for line in &told.lines {
            assert!(joined(&pdf.text()).contains(&joined(&line.title)), "{}", line.title);
        }
        // An amount stands on the first row of its line.
        assert!(
            text.lines().any(|l| l.contains(&told.lines[0].title)
                && l.split_whitespace().next_back().is_some_and(|sum| sum.starts_with('£'))),
            "{text}"
        );
        sound(
            &pdf,
            &format!(
                "{} F-1042, Bracken",
                if lang == Lang::En { "Statement of the deposit" } else { "Abrechnung der Kaution" }
            ),
            if lang == Lang::En { "en-GB" } else { "de-DE" },
        );
    }
}

#[test]
fn photographs_and_signatures_say_what_they_show_and_tables_have_heads() {
    let pdf = set(&record(&came_back(), Lang::En));
    let tags = pdf.tags();
    assert!(tags.contains("H1") && tags.contains("H2") && tags.contains("H3"));
    assert!(tags.contains("THead") && tags.contains("TH") && tags.contains("/Scope /Column"), "{tags}");
    let plain = pdf.checked();
    let figures = plain.matches("/S /Figure").count();
    let described = plain.matches("/Alt ").count();
    // Two damages before and after (the ring is decoration), four photographs of the walk-round, one signature.
    assert_eq!((figures, described), (9, 9));
    assert!(plain.contains("Drawn signature of Bo Yard"), "no words for the signature");
}

#[test]
fn the_same_data_come_to_the_same_bytes_and_others_to_others() {
    for (lang, told) in [(Lang::De, handover()), (Lang::En, came_back())] {
        let draft = record(&told, lang);
        let again = record(&told, lang);
        assert_eq!(draft.tag().unwrap(), again.tag().unwrap());
        assert!(draft.set(given(&draft)).unwrap() == again.set(given(&again)).unwrap());
        let draft = statement_paper(&statement(lang, 12), TERMS, lang);
        let bytes = draft.set(BTreeMap::new()).unwrap();
        assert!(bytes == statement_paper(&statement(lang, 12), TERMS, lang).set(BTreeMap::new()).unwrap());
        let other = statement_paper(&statement(lang, 13), TERMS, lang);
        assert_ne!(draft.tag().unwrap(), other.tag().unwrap());
        assert!(bytes != other.set(BTreeMap::new()).unwrap());
    }
    let mut told = handover();
    let tag = record(&told, Lang::En).tag().unwrap();
    told.strokes.clear();
    assert_ne!(record(&told, Lang::En).tag().unwrap(), tag, "a signature counts");
}

#[test]
fn a_document_takes_only_photographs_it_can_show() {
    let draft = record(&handover(), Lang::En);
    let mut photos = given(&draft);
    let name = photos.keys().next().unwrap().clone();
    let taken = photos.remove(&name).unwrap();
    assert_eq!(draft.set(photos.clone()), Err(PaperError::PhotoMissing(name.clone())));
    let _ = photos.insert(name.clone(), b"%PDF-1.7".to_vec());
    assert_eq!(draft.set(photos.clone()), Err(PaperError::NotJpeg(name.clone())));
    let mut large = taken;
    large.resize(60 * 1024 * 1024, 0);
    let _ = photos.insert(name, large);
    let refused = draft.set(photos).unwrap_err();
    assert!(matches!(refused, PaperError::TooManyPhotoBytes { .. }), "{refused}");
    assert!(refused.to_string().contains("give smaller copies"), "{refused}");
}

#[test]
fn more_words_than_a_document_takes_are_refused() {
    let mut told = statement(Lang::En, 0);
    told.lines[0].reason = Some("word ".repeat(500_000));
    let refused = statement_paper(&told, TERMS, Lang::En).set(BTreeMap::new()).unwrap_err();
    assert!(matches!(refused, PaperError::TooManyWords { .. }), "{refused}");
}

#[test]
fn a_walk_round_with_many_photographs_shows_as_many_as_fit_and_counts_the_rest() {
    let mut told = handover();
    let first = told.inspection.photos[0].clone();
    let picture = told.photos[&first.id].clone();
    for n in 0..100_u128 {
        let mut more = first.clone();
        more.id = handsel_domain::ids::PhotoId(sample::uuid(400 + n));
        more.sha256 = format!("{:064x}", 400 + n);
        let _ =
            told.photos.insert(more.id, handsel_documents::Picture { sha256: more.sha256.clone(), ..picture.clone() });
        told.inspection.photos.push(more);
    }
    let draft = record(&told, Lang::En);
    assert_eq!(draft.pictures().values().filter(|c| !c.large).count(), 80);
    assert_eq!(told.inspection.leg, Leg::Departure);
    let small =
        std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/photos/coachbuilt-front-out.jpg")).unwrap();
    let photos = draft.pictures().keys().map(|name| (name.clone(), small.clone())).collect();
    let text = joined(&Pdf::new(&draft.set(photos).unwrap()).text());
    assert!(text.contains("Further photographs kept with the record: 24."), "{text}");
}
