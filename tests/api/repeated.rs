//! The same picture twice: noticed, told within everybody's reach, and a weak point of what rests on it.

use crate::copies::developed;
use crate::photos::place;
use handsel_tests::{Seed, Walker, World, fixtures, id, on_each_database, segment, vehicle};
use image::ImageFormat;
use serde_json::{Value, json};
use std::io::Cursor;

async fn photo(walk: &Walker, bytes: &[u8]) -> String {
    let photo = id();
    let _ = walk.client.upload(&place(walk, &photo, "viewpoint", "left"), "image/jpeg", bytes).await.expect(201);
    photo
}

fn repeats(view: &Value, photo: &str) -> Value {
    view["photos"].as_array().unwrap().iter().find(|p| p["id"] == photo).unwrap()["repeats"].clone()
}

/// The same picture, smaller and stored another way.
fn stored_anew(picture: &[u8]) -> Vec<u8> {
    let image = image::load_from_memory(picture).unwrap();
    let small = image.resize(image.width() * 3 / 4, image.height() * 3 / 4, image::imageops::FilterType::Triangle);
    let mut bytes = Cursor::new(Vec::new());
    small.to_rgb8().write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    bytes.into_inner()
}

/// A hire of another vehicle, at another depot, with one photograph sent at departure.
async fn elsewhere(seed: &Seed, bytes: &[u8]) -> (String, String) {
    let (depot, van, hire) = (id(), id(), id());
    let manager = &seed.manager;
    let _ = manager.post("/depots", &handsel_tests::depot(&depot, "South", "Europe/London")).await.expect(201);
    let mut fern = vehicle(&van, "TEST 2", &depot, &seed.template, &seed.tariff);
    fern["name"] = json!("Fern");
    let _ = manager.post("/vehicles", &fern).await.expect(201);
    let _ = manager.post("/hires", &handsel_tests::hire(&hire, "E-1", &depot, &van)).await.expect(201);
    let walk = Walker::start(manager, &hire, "departure").await;
    let sent = photo(&walk, bytes).await;
    let _ = developed(manager, &walk.path).await;
    (hire, sent)
}

struct Back {
    hire: String,
    before: String,
    /// Of the return's photograph.
    repeats: Value,
}

/// One photograph at departure and one at return, of the same viewpoint, with a scratch recorded there.
async fn back_with(seed: &Seed, world: &World, out: &[u8], back: &[u8]) -> Back {
    let hire = seed.hire("F-1").await;
    let walk = seed.departure(&hire).await;
    let before = photo(&walk, out).await;
    let _ = developed(&seed.manager, &walk.path).await;
    walk.usual_departure().await;
    walk.brief("lid").await;
    walk.brief("fill_up").await;
    walk.both_sign().await;
    let _ = walk.sign().await.expect(200);
    world.clock.set("2026-04-04T12:30:00Z");
    let walk = Walker::start(&seed.manager, &hire, "return").await;
    let after = photo(&walk, back).await;
    walk.usual_return().await;
    let scratch = json!({
        "panel": "side_left", "kind": "scratch", "size_mm": 30, "depth": "surface", "viewpoint": "left",
        "x": "0.5", "y": "0.5", "photos": [after],
    });
    let _ = seed.manager.put(&format!("{}/marks/{}", walk.path, id()), &scratch).await.expect(201);
    let view = developed(&seed.manager, &walk.path).await;
    walk.both_sign().await;
    let _ = walk.sign().await.expect(200);
    Back { hire, before, repeats: repeats(&view, &after) }
}

fn mark_line(comparison: &Value) -> Value {
    let lines = comparison["lines"].as_array().unwrap();
    lines.iter().find(|l| l["key"].as_str().unwrap().starts_with("mark.")).unwrap().clone()
}

on_each_database! {
    async fn the_departures_photograph_sent_again_weakens_what_rests_on_it(world: World) {
        let seed = Seed::plant(&world).await;
        let picture = fixtures().swap_remove(0);
        let Back { hire, before, repeats } = back_with(&seed, &world, &picture, &picture).await;
        let (manager, repeat) = (&seed.manager, &repeats[0]);
        assert_eq!((&repeat["whose"], &repeat["how"]), (&json!("departure"), &json!("same_bytes")), "{repeat}");
        assert_eq!((&repeat["photo"], &repeat["hire"]), (&json!(before), &json!(hire)));
        assert_eq!(repeat["vehicle_name"], "Bracken");
        let line = mark_line(&manager.get(&format!("/hires/{hire}/comparison")).await.expect(200));
        assert_eq!(line["if_charged"]["minor"], 8000, "the amount stays: {line}");
        assert_eq!(line["weak_points"], json!(["The return photograph is the departure's again"]));
        let german = manager.get(&format!("/hires/{hire}/comparison?lang=de")).await.expect(200);
        assert_eq!(mark_line(&german)["weak_points"], json!(["Das Foto der Rückgabe ist noch einmal das der Übergabe"]));
        let case = manager.get(&format!("/hires/{hire}/case")).await.expect(200);
        let kept = json!([{"photo": before, "whose": "departure", "how": "same_bytes"}]);
        assert_eq!(case["return"]["photos"][0]["repeats"], kept);
        assert!(case["departure"]["photos"][0].get("repeats").is_none(), "the earlier one repeats nothing");
    }

    async fn a_copy_stored_another_way_is_still_the_same_picture(world: World) {
        let seed = Seed::plant(&world).await;
        let picture = fixtures().swap_remove(0);
        let Back { before, repeats, .. } = back_with(&seed, &world, &picture, &stored_anew(&picture)).await;
        let repeat = &repeats[0];
        assert_eq!((&repeat["photo"], &repeat["how"]), (&json!(before), &json!("looks_the_same")), "{repeats}");
    }

    async fn another_picture_of_the_same_vehicle_repeats_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        let pictures = fixtures();
        let Back { hire, repeats, .. } = back_with(&seed, &world, &pictures[0], &pictures[1]).await;
        assert_eq!(repeats, json!([]));
        let line = mark_line(&seed.manager.get(&format!("/hires/{hire}/comparison")).await.expect(200));
        assert_eq!(line["weak_points"], json!([]));
    }

    async fn a_photograph_of_another_vehicle_is_named_to_those_who_reach_it(world: World) {
        let seed = Seed::plant(&world).await;
        let picture = fixtures().swap_remove(0);
        let (other_hire, other_photo) = elsewhere(&seed, &segment(0xFE, b"elsewhere", &picture)).await;
        world.clock.pass(60);
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let sent = photo(&walk, &picture).await;
        let view = developed(&seed.manager, &walk.path).await;
        let repeat = &repeats(&view, &sent)[0];
        assert_eq!((&repeat["whose"], &repeat["how"]), (&json!("other_vehicle"), &json!("looks_the_same")), "{view}");
        assert_eq!((&repeat["photo"], &repeat["hire"]), (&json!(other_photo), &json!(other_hire)));
        assert_eq!(repeat["vehicle_name"], "Fern");
        // It was taken at departure: nothing is said of a return.
        assert_eq!(repeat["words"], "This photograph was sent before, of another vehicle");
        // Somebody of this depot alone is told that it is so, and not where.
        let desk = seed.staff(&world, "north", "desk").await;
        let view = desk.get(&walk.path).await.expect(200);
        let repeat = &repeats(&view, &sent)[0];
        assert_eq!(repeat["whose"], "other_vehicle");
        for hidden in ["photo", "vehicle", "vehicle_name", "hire"] {
            assert_eq!(repeat[hidden], Value::Null, "{repeat}");
        }
    }

    async fn a_photograph_taken_back_is_repeated_by_none(world: World) {
        let seed = Seed::plant(&world).await;
        let picture = fixtures().swap_remove(0);
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let first = photo(&walk, &picture).await;
        let _ = developed(&seed.manager, &walk.path).await;
        let (_, _) = elsewhere(&seed, &segment(0xFE, b"later", &picture)).await;
        let _ = seed.manager.delete(&format!("{}/photos/{first}", walk.path)).await.expect(204);
        let again = photo(&walk, &picture).await;
        let view = developed(&seed.manager, &walk.path).await;
        assert_eq!(view["photos"].as_array().unwrap().len(), 1);
        let repeat = repeats(&view, &again);
        assert_eq!(repeat[0]["whose"], "other_vehicle", "{repeat}");
    }
}
