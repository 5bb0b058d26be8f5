//! Reports add up what the returns of a period came to.

use handsel_tests::{Seed, id, money, on_each_database};
use serde_json::json;

on_each_database! {
    async fn a_report_adds_up_what_was_charged_let_off_and_missed(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.back(&world, "F-1").await;
        let _ = seed.accept(&hire, "distance").await;
        let waived = json!({"id": id(), "line": "fuel", "verdict": "waive", "reason": "Goodwill"});
        let _ = seed.manager.post_once(&format!("/hires/{hire}/decisions"), id(), &waived).await.expect(200);
        let paid = json!({"id": id(), "kind": "paid", "means": "cash", "amount": money(15_000)});
        let _ = seed.manager.post_once(&format!("/hires/{hire}/movements"), id(), &paid).await.expect(200);
        world.clock.set("2026-04-06T12:30:00Z");
        let manager = world.manager().await;
        let _ = manager.post_once(&format!("/hires/{hire}/settlement"), id(), &json!({})).await.expect(200);
        let report = manager.get("/reports?from=2026-04-01&to=2026-04-30&currency=GBP").await.expect(200);
        assert_eq!(report["returns"], 1);
        let of = |rule: &str| report["charges"].as_array().unwrap().iter().find(|c| c["rule"] == rule).unwrap().clone();
        assert_eq!((&of("distance")["charged"], &of("distance")["let_off"]), (&money(15_000), &money(0)));
        assert_eq!((&of("fuel")["proposed"], &of("fuel")["charged"], &of("fuel")["let_off"]), (&money(5500), &money(0), &money(5500)));
        assert_eq!(report["reasons"], json!([{"reason": "Goodwill", "lines": 1, "let_off": money(5500)}]));
        assert_eq!((&report["waited"]["median_hours"], &report["waited"]["settled"]), (&json!(48), &json!(1)));
        // The depot's calendar decides: 4 April there.
        for (from, to, returns) in [("2026-04-04", "2026-04-04", 1), ("2026-04-05", "2026-04-30", 0), ("2026-03-01", "2026-04-03", 0)] {
            let report = manager.get(&format!("/reports?from={from}&to={to}&currency=GBP")).await.expect(200);
            assert_eq!(report["returns"], returns, "{from} to {to}");
        }
        assert_eq!(manager.get("/reports?from=2026-04-01&to=2026-04-30&currency=EUR").await.expect(200)["returns"], 0);
        let _ = manager.get("/reports?from=2026-04-30&to=2026-04-01&currency=GBP").await.refused(422, "values_invalid");

        let csv = manager.get("/reports/tables/charges?from=2026-04-01&to=2026-04-30&currency=GBP&lang=de").await;
        assert_eq!((csv.status, csv.header("content-type")), (200, "text/csv; charset=utf-8; header=present"));
        let text = String::from_utf8(csv.bytes.to_vec()).unwrap();
        assert!(text.starts_with("Art,Positionen,Vorgeschlagen,Berechnet,") && text.contains("Kraftstoff,1,55.00,0.00,55.00,1,0,0"), "{text}");
        let _ = manager.get("/reports/tables/nothing?from=2026-04-01&to=2026-04-30&currency=GBP").await.refused(404, "not_found");
        let book = manager.get("/reports/workbook.xlsx?from=2026-04-01&to=2026-04-30&currency=GBP").await;
        assert_eq!((book.status, &book.bytes[..2]), (200, b"PK".as_slice()));
        // Read back by a library that did not write it.
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("report.xlsx");
        std::fs::write(&path, &book.bytes).unwrap();
        let mut read: calamine::Xlsx<_> = calamine::open_workbook(&path).unwrap();
        let sheet = calamine::Reader::worksheet_range(&mut read, "Charges").unwrap();
        let fuel = sheet.rows().find(|r| r[0] == "Fuel").unwrap();
        assert_eq!(calamine::DataType::get_float(&fuel[2]), Some(55.0));
        let desk = seed.staff(&world, "dora", "desk").await;
        let _ = desk.get("/reports?from=2026-04-01&to=2026-04-30&currency=GBP").await.refused(403, "forbidden");
    }
}
