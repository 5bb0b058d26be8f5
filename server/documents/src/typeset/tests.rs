use super::*;

#[test]
fn the_families_are_there_and_standards_go_together() {
    for family in FAMILIES {
        assert!(FONTS.fonts.iter().any(|f| f.info().family == family), "{family}");
    }
    assert!(PdfStandards::new(&STANDARDS).is_ok());
}

#[test]
fn nothing_but_the_look_can_be_reached() {
    let desk = |look: &str| Desk { library: LazyHash::new(Library::builder().build()), source: Source::detached(look) };
    for look in
        ["#read(\"/etc/passwd\")", "#import \"other.typ\": *", "#import \"@preview/x:1.0.0\": *", "#datetime.today()"]
    {
        let outcome = typst::compile::<PagedDocument>(&desk(look)).output;
        assert!(outcome.is_err(), "{look}");
    }
    assert!(typst::compile::<PagedDocument>(&desk("plain")).output.is_ok());
}

#[test]
fn a_moment_is_written_to_the_second() {
    let at: Instant = "2026-03-28T14:06:09Z".parse().unwrap();
    assert_eq!(moment(at), Datetime::from_ymd_hms(2026, 3, 28, 14, 6, 9));
}
