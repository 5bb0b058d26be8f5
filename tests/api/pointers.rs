//! Pointers: where a return's photograph shows what the departure's did not, for a person to judge.

use crate::photos::place;
use handsel_tests::{Client, Seed, Walker, World, id, on_each_database};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use reqwest::Method;
use serde_json::{Value, json};
use std::io::Cursor;
use std::path::Path;

fn jpeg(image: RgbImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::from(image).write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    bytes.into_inner()
}

/// A picture of the pairs made for this project.
fn rendered(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos/pairs").join(name)).unwrap()
}

/// A vehicle's nearside as it left, and as it came back in other light from another place: a fitting 42 cm long is
/// gone. `pairs.json` tells where, out of the geometry it was rendered from.
fn departed() -> Vec<u8> {
    rendered("p017-before.jpg")
}

fn came_back() -> Vec<u8> {
    rendered("p018-after.jpg")
}

/// The middle of what is gone, in fractions of the return's photograph.
fn gone() -> (f64, f64) {
    let pairs: Value = serde_json::from_slice(&rendered("pairs.json")).unwrap();
    let pair = pairs.as_array().unwrap().iter().find(|p| p["id"] == "p018").unwrap();
    assert_eq!((&pair["before"], &pair["after"]), (&json!("p017-before.jpg"), &json!("p018-after.jpg")));
    let part = |of: &Value, at: usize| of[at].as_f64().unwrap();
    let place = &pair["new"].as_array().unwrap().iter().find(|n| n["kind"] == "missing").unwrap()["after"];
    let middle = |at: usize, size: &str| (part(place, at) + part(place, at + 2) / 2.0) / pair[size].as_f64().unwrap();
    (middle(0, "width"), middle(1, "height"))
}

/// How alike two pictures of one size are: the correlation of their greys, 1 for the same picture.
fn alike(one: &RgbImage, other: &RgbImage) -> f64 {
    let greys = |image: &RgbImage| -> Vec<f64> {
        image.pixels().map(|p| p.0.iter().map(|v| f64::from(*v)).sum::<f64>()).collect()
    };
    let centred = |greys: Vec<f64>| -> Vec<f64> {
        let mean = greys.iter().sum::<f64>() / f64::from(u32::try_from(greys.len()).unwrap());
        greys.iter().map(|v| v - mean).collect()
    };
    let (one, other) = (centred(greys(one)), centred(greys(other)));
    assert_eq!(one.len(), other.len());
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    dot(&one, &other) / (dot(&one, &one) * dot(&other, &other)).sqrt()
}

async fn send(walk: &Walker, bytes: &[u8], of: &str, key: &str) -> String {
    let photo = id();
    let _ = walk.client.upload(&place(walk, &photo, of, key), "image/jpeg", bytes).await.expect(201);
    photo
}

/// What is told once there is something to tell.
async fn told(client: &Client, photo: &str) -> Value {
    for _ in 0..1200 {
        let told = client.get(&format!("/photos/{photo}/pointers")).await.expect(200);
        if told["state"] != "waiting" {
            return told;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("still waiting for {photo}");
}

struct Pair {
    back: Walker,
    before: String,
    after: String,
}

async fn pair(seed: &Seed, world: &World, before: &[u8], after: &[u8]) -> Pair {
    let hire = seed.hire("F-1").await;
    let departure = seed.departure(&hire).await;
    // An earlier attempt, which the later one stands for.
    let _ = send(&departure, &jpeg(RgbImage::new(64, 64)), "viewpoint", "left").await;
    world.clock.pass(60);
    let before = send(&departure, before, "viewpoint", "left").await;
    departure.usual_departure().await;
    departure.brief("lid").await;
    departure.brief("fill_up").await;
    departure.both_sign().await;
    let _ = departure.sign().await.expect(200);
    world.clock.set("2026-04-04T12:30:00Z");
    let back = Walker::start(&seed.manager, &hire, "return").await;
    let after = send(&back, after, "viewpoint", "left").await;
    Pair { back, before, after }
}

async fn put(client: &Client, photo: &str, pointer: &Value, body: &Value) -> handsel_tests::Answer {
    client.put(&format!("/photos/{photo}/pointers/{}", pointer.as_str().unwrap()), body).await
}

on_each_database! {
    async fn what_is_new_is_pointed_at_and_a_person_decides(world: World) {
        let seed = Seed::plant(&world).await;
        let Pair { back, before, after, .. } = pair(&seed, &world, &departed(), &came_back()).await;
        let found = told(&seed.manager, &after).await;
        assert_eq!((&found["state"], &found["before"]), (&json!("aligned"), &json!(before)), "{found}");
        assert!(found["words"].as_str().unwrap().contains("never charge"), "{found}");
        let pointers = found["pointers"].as_array().unwrap();
        let covers = |p: &&Value| {
            let part = |name: &str| p[name].as_f64().unwrap();
            let (x, y) = (part("x")..part("x") + part("w"), part("y")..part("y") + part("h"));
            x.contains(&gone().0) && y.contains(&gone().1)
        };
        let pointer = pointers.iter().find(covers).unwrap_or_else(|| panic!("nothing points at what is gone: {found}"));
        assert_eq!((&pointer["disposition"], &pointer["mark"]), (&json!("open"), &Value::Null));
        let german = seed.manager.get(&format!("/photos/{after}/pointers?lang=de")).await.expect(200);
        assert!(german["words"].as_str().unwrap().contains("berechnen nie"), "{german}");

        let refused = put(&seed.manager, &after, &pointer["id"], &json!({"disposition": "accepted"})).await;
        assert_eq!(refused.refused(422, "values_invalid")["errors"][0]["pointer"], "/mark");
        let strange = json!({"disposition": "accepted", "mark": id()});
        let _ = put(&seed.manager, &after, &pointer["id"], &strange).await.refused(422, "values_invalid");
        let _ = put(&seed.manager, &after, &json!(id()), &json!({"disposition": "dismissed"})).await.refused(404, "not_found");
        let dismissed = json!({"disposition": "dismissed"});
        let office = seed.staff(&world, "olga", "office").await;
        let _ = put(&office, &after, &pointer["id"], &dismissed).await.refused(403, "forbidden");
        assert_eq!(office.get(&format!("/photos/{after}/pointers")).await.expect(200), found);

        let first = put(&seed.manager, &after, &pointer["id"], &dismissed).await.expect(200);
        world.clock.pass(60);
        assert_eq!(put(&seed.manager, &after, &pointer["id"], &dismissed).await.expect(200), first, "once, at its time");
        let mark = id();
        let loss = json!({
            "panel": "side_left", "kind": "scratch", "size_mm": 30, "depth": "surface", "viewpoint": "left",
            "x": "0.5", "y": "0.5", "photos": [after],
        });
        let kept = format!("{}/marks/{mark}", back.path);
        let _ = seed.manager.put(&kept, &loss).await.expect(201);
        let accepted = json!({"disposition": "accepted", "mark": mark});
        let now = put(&seed.manager, &after, &pointer["id"], &accepted).await.expect(200);
        let of = |view: &Value| {
            view["pointers"].as_array().unwrap().iter().find(|p| p["id"] == pointer["id"]).unwrap().clone()
        };
        assert_eq!((&of(&now)["disposition"], &of(&now)["mark"]), (&json!("accepted"), &json!(mark)));
        assert_eq!(of(&now)["at"], "2026-04-04T12:31:00Z");
        // A mark taken back leaves its pointer open.
        let _ = seed.manager.delete(&kept).await.expect(204);
        let open = seed.manager.get(&format!("/photos/{after}/pointers")).await.expect(200);
        assert_eq!((&of(&open)["disposition"], &of(&open)["mark"]), (&json!("open"), &Value::Null));

        back.usual_return().await;
        back.both_sign().await;
        let _ = back.sign().await.expect(200);
        let _ = put(&seed.manager, &after, &pointer["id"], &dismissed).await.refused(409, "inspection_closed");
    }

    async fn pointers_charge_nobody(world: World) {
        let seed = Seed::plant(&world).await;
        let Pair { back, after, .. } = pair(&seed, &world, &departed(), &came_back()).await;
        let found = told(&seed.manager, &after).await;
        assert!(!found["pointers"].as_array().unwrap().is_empty(), "{found}");
        back.usual_return().await;
        back.both_sign().await;
        let view = back.sign().await.expect(200);
        let hire = view["hire"].as_str().unwrap();
        let comparison = seed.manager.get(&format!("/hires/{hire}/comparison")).await.expect(200);
        let keys: Vec<&str> = comparison["lines"].as_array().unwrap().iter().map(|l| l["key"].as_str().unwrap()).collect();
        assert!(keys.iter().all(|key| !key.starts_with("mark.")), "{keys:?}");
    }

    async fn the_departures_photograph_is_had_as_the_returns_saw_it(world: World) {
        let seed = Seed::plant(&world).await;
        let Pair { after, before, .. } = pair(&seed, &world, &departed(), &came_back()).await;
        assert_eq!(told(&seed.manager, &after).await["state"], "aligned");
        let shown = seed.manager.get(&format!("/photos/{after}")).await;
        let seen = image::load_from_memory(&shown.bytes).unwrap().to_rgb8();
        let size = seen.dimensions();
        let before_image = image::load_from_memory(&departed()).unwrap().to_rgb8();
        for accept in ["image/jpeg", "image/webp"] {
            for name in ["list", "screen", "zoom"] {
                let path = format!("/photos/{after}/before?size={name}");
                let ask = || seed.manager.request(Method::GET, &path).header("Accept", accept);
                let laid_over = seed.manager.send(ask()).await;
                assert_eq!((laid_over.status, laid_over.header("content-type")), (200, accept));
                assert!(laid_over.header("cache-control").contains("immutable"));
                let image = image::load_from_memory(&laid_over.bytes).unwrap().to_rgb8();
                if name != "list" {
                    assert_eq!(image.dimensions(), size, "{name}");
                    let (laid, not) = (alike(&image, &seen), alike(&before_image, &seen));
                    assert!(laid > not + 0.2, "{name}: laid over {laid:.3}, as it was {not:.3}");
                }
                let again = seed.manager.send(ask().header("If-None-Match", laid_over.header("etag"))).await;
                assert_eq!(again.status, 304);
            }
        }
        let _ = seed.manager.get(&format!("/photos/{before}/before")).await.refused(404, "not_found");
    }

    async fn what_cannot_be_laid_over_each_other_is_said_to_be_so(world: World) {
        let seed = Seed::plant(&world).await;
        let other = RgbImage::from_fn(480, 640, |x, y| Rgb([x * 7 % 251, y * 13 % 241, x * y % 239].map(|v| v.to_le_bytes()[0])));
        let Pair { back, after, .. } = pair(&seed, &world, &departed(), &jpeg(other)).await;
        let found = told(&seed.manager, &after).await;
        assert_eq!((&found["state"], &found["pointers"]), (&json!("not_aligned"), &json!([])));
        assert!(found["words"].as_str().unwrap().contains("could not be laid over"), "{found}");
        let _ = seed.manager.get(&format!("/photos/{after}/before")).await.refused(404, "not_found");
        let view = seed.manager.get(&back.path).await.expect(200);
        let photo = view["photos"].as_array().unwrap().iter().find(|p| p["id"] == after).unwrap();
        let codes: Vec<&Value> = photo["facts"]["advice"].as_array().unwrap().iter().map(|a| &a["code"]).collect();
        assert!(codes.contains(&&json!("not_the_viewpoint")), "{photo}");
    }

    async fn what_has_no_counterpart_is_compared_with_nothing(world: World) {
        let seed = Seed::plant(&world).await;
        let Pair { back, before, .. } = pair(&seed, &world, &departed(), &departed()).await;
        let gauge = send(&back, &departed(), "checkpoint", "fuel").await;
        for photo in [before, gauge] {
            let found = told(&seed.manager, &photo).await;
            assert_eq!((&found["state"], &found["before"]), (&json!("nothing_to_compare"), &Value::Null));
        }
    }
}
