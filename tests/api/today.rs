//! A device is told its day in one request.

use handsel_tests::{Seed, Walker, hire, id, on_each_database};
use serde_json::{Value, json};

fn booked(id: &str, reference: &str, seed: &Seed, out: &str, back: &str) -> Value {
    let mut hire = hire(id, reference, &seed.depot, &seed.vehicle);
    hire["agreed_departure"] = json!(out);
    hire["agreed_return"] = json!(back);
    hire
}

on_each_database! {
    async fn a_device_is_told_what_goes_out_and_comes_back_until_tomorrow(world: World) {
        let seed = Seed::plant(&world).await;
        let first = seed.out("F-1").await;
        let second = id();
        let tomorrow = booked(&second, "F-2", &seed, "2026-03-29T09:00:00Z", "2026-04-20T09:00:00Z");
        let _ = seed.manager.post("/hires", &tomorrow).await.expect(201);
        let later = booked(&id(), "F-3", &seed, "2026-03-30T09:00:00Z", "2026-04-20T09:00:00Z");
        let _ = seed.manager.post("/hires", &later).await.expect(201);
        let yard = seed.staff(&world, "ivy", "inspector").await;
        let day = yard.get("/today").await.expect(200);
        let hires = |day: &Value| -> Vec<Value> { day["hires"].as_array().unwrap().iter().map(|h| h["hire"]["id"].clone()).collect() };
        assert_eq!(hires(&day), [json!(second)], "the one that is out comes back on Saturday");
        assert_eq!((&day["at"], &day["hires"][0]["departure"]), (&json!("2026-03-28T10:00:00Z"), &Value::Null));
        assert_eq!(day["hires"][0]["vehicle"]["name"], "Bracken");
        let asked = &day["hires"][0]["template"]["stops"][0]["checkpoints"];
        assert_eq!(asked.as_array().unwrap().len(), 4);
        assert_eq!(day["tariffs"].as_array().unwrap().len(), 1);
        assert_eq!(day["tariffs"][0]["id"], json!(seed.tariff));

        world.clock.set("2026-04-03T22:59:00Z");
        let yard = world.sign_in("ivy@fernway.example").await;
        let back = Walker::start(&yard, &first, "return").await;
        let day = yard.get(&format!("/today?depot={}", seed.depot)).await.expect(200);
        let item = day["hires"].as_array().unwrap().iter().find(|h| h["hire"]["id"] == json!(first)).unwrap();
        assert_eq!(item["return"]["id"], json!(back.inspection));
        assert_eq!(item["departure"]["status"], "signed");
        assert!(item["departure"]["entries"].as_array().unwrap().len() > 3);
        let elsewhere = yard.get(&format!("/today?depot={}", id())).await.expect(200);
        assert_eq!(hires(&elsewhere), Vec::<Value>::new());
    }
}
