//! Copies of photographs: upright for every way to hold a camera, without anything but pixels, in the form asked for.

use crate::photos::place;
use handsel_tests::{Client, GPS, SERIAL, Seed, Walker, held, id, jpeg, on_each_database, segment, told};
use image::{DynamicImage, GenericImageView, ImageFormat};
use reqwest::Method;
use serde_json::Value;
use std::io::Cursor;

const FORMS: [(&str, ImageFormat); 2] = [("image/jpeg", ImageFormat::Jpeg), ("image/webp", ImageFormat::WebP)];

async fn keep(walk: &Walker, media_type: &str, bytes: &[u8]) -> String {
    let photo = id();
    let _ = walk.client.upload(&place(walk, &photo, "viewpoint", "left"), media_type, bytes).await.expect(201);
    photo
}

async fn get(client: &Client, path: &str, headers: &[(&str, &str)]) -> handsel_tests::Answer {
    let asked = headers.iter().fold(client.request(Method::GET, path), |r, (name, value)| r.header(*name, *value));
    client.send(asked).await
}

/// Waits until the work on every photograph of a walk-round is done.
pub(crate) async fn developed(client: &Client, walk: &str) -> Value {
    for _ in 0..600 {
        let view = client.get(walk).await.expect(200);
        if view["photos"].as_array().unwrap().iter().all(|p| p["processing"] == "done") {
            return view;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("not developed: {}", client.get(walk).await.expect(200)["photos"]);
}

fn png(chunks: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image::load_from_memory(&jpeg(64, 32)).unwrap().write_to(&mut bytes, ImageFormat::Png).unwrap();
    let bytes = bytes.into_inner();
    let mut made = bytes[..33].to_vec();
    for (kind, content) in chunks {
        made.extend(u32::try_from(content.len()).unwrap().to_be_bytes());
        let checked = [kind.as_slice(), content].concat();
        made.extend(&checked);
        made.extend(checksum(&checked).to_be_bytes());
    }
    made.extend(&bytes[33..]);
    made
}

fn checksum(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { crc >> 1 ^ 0xEDB8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

/// A WebP with metadata, as cameras' programs write it.
fn webp(chunks: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image::load_from_memory(&jpeg(64, 32)).unwrap().write_to(&mut bytes, ImageFormat::WebP).unwrap();
    let plain = bytes.into_inner();
    let mut body = b"WEBPVP8X\x0A\0\0\0\x0C\0\0\0\x3F\0\0\x1F\0\0".to_vec();
    body.extend(&plain[12..]);
    for (kind, content) in chunks {
        body.extend(kind.as_slice());
        body.extend(u32::try_from(content.len()).unwrap().to_le_bytes());
        body.extend(content);
        body.resize(body.len().next_multiple_of(2), 0);
    }
    [b"RIFF".to_vec(), u32::try_from(body.len()).unwrap().to_le_bytes().to_vec(), body].concat()
}

const XMP: &[u8] = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta xmlns:x='adobe:ns:meta/'>where it was</x:xmpmeta>";

on_each_database! {
    async fn every_way_to_hold_a_camera_is_shown_upright(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        for orientation in 1..=8_u8 {
            let photo = keep(&walk, "image/jpeg", &held(orientation, &jpeg(640, 320))).await;
            let mut upright = image::load_from_memory(&jpeg(640, 320)).unwrap();
            upright.apply_orientation(image::metadata::Orientation::from_exif(orientation).unwrap());
            for (accept, format) in FORMS {
                for size in ["list", "screen", "zoom"] {
                    let path = format!("/photos/{photo}?size={size}");
                    let shown = get(&seed.manager, &path, &[("Accept", accept)]).await;
                    assert_eq!(shown.header("content-type"), accept);
                    let shown = image::load_from_memory_with_format(&shown.bytes, format).unwrap();
                    let (width, height) = upright.dimensions();
                    let expected = if size == "list" { (width / 2, height / 2) } else { (width, height) };
                    assert_eq!(shown.dimensions(), expected, "{orientation}, {size}, {accept}");
                    let red = |image: &DynamicImage, x: u32, y: u32| {
                        let (w, h) = image.dimensions();
                        image.get_pixel(w * x / 8, h * y / 8)[0] > 128
                    };
                    for (x, y) in [(1, 1), (7, 1), (1, 7), (7, 7)] {
                        assert_eq!(red(&shown, x, y), red(&upright, x, y), "{orientation}, {size} at {x}, {y}");
                    }
                }
            }
        }
    }

    /// Where it was taken, by which camera, and the small picture beside the large one.
    async fn nothing_but_pixels_is_served(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let thumbnail = jpeg(16, 8);
        let profile = b"ICC_PROFILE\0\x01\x01not a profile, but of one".as_slice();
        let maker = b"MakerNote of the camera".as_slice();
        let jpeg = segment(0xE1, XMP, &segment(0xE2, profile, &segment(0xED, maker, &held(1, &jpeg(640, 320)))));
        let exif = told(1, &thumbnail);
        let text = |content: &str| content.as_bytes().to_vec();
        let png = png(&[(b"eXIf", exif.clone()), (b"tEXt", text(&format!("Comment\0{SERIAL}")))]);
        let webp = webp(&[(b"EXIF", exif), (b"XMP ", XMP.to_vec())]);
        for (media_type, original) in [("image/jpeg", jpeg), ("image/png", png), ("image/webp", webp)] {
            let holds = |bytes: &[u8], what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
            let secrets: [&[u8]; 8] = [
                SERIAL.as_bytes(), &GPS, &thumbnail[20..60], b"Exif", b"ns.adobe", b"xmpmeta", b"ICC", b"MakerNote",
            ];
            assert!(secrets[..1].iter().all(|s| holds(&original, s)), "{media_type} tells it to begin with");
            let photo = keep(&walk, media_type, &original).await;
            for (accept, _) in FORMS {
                for size in ["list", "screen", "zoom"] {
                    let path = format!("/photos/{photo}?size={size}");
                    let shown = get(&seed.manager, &path, &[("Accept", accept)]).await;
                    assert_eq!((shown.status, shown.header("content-type")), (200, accept));
                    for secret in secrets {
                        let named = String::from_utf8_lossy(secret);
                        assert!(!holds(&shown.bytes, secret), "{media_type} as {accept}, {size}: {named}");
                    }
                }
            }
            // The original has all of it, for those who need the evidence.
            let kept = seed.manager.get(&format!("/photos/{photo}/original")).await;
            assert_eq!(kept.bytes, original);
            assert_eq!(kept.header("content-disposition"), "attachment");
            assert_eq!(kept.header("x-content-type-options"), "nosniff");
        }
    }

    async fn originals_are_for_those_who_need_the_evidence(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let photo = keep(&walk, "image/jpeg", &jpeg(64, 32)).await;
        for (role, may) in [("desk", false), ("inspector", false), ("office", true), ("manager", true)] {
            let client = seed.staff(&world, role, role).await;
            let original = client.get(&format!("/photos/{photo}/original")).await;
            assert_eq!(original.status, if may { 200 } else { 403 }, "{role}");
            assert_eq!(client.get(&format!("/photos/{photo}")).await.status, 200, "{role}");
        }
    }

    async fn the_form_is_the_callers_choice(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let photo = keep(&walk, "image/jpeg", &jpeg(64, 32)).await;
        let path = format!("/photos/{photo}");
        for (accept, form) in [
            ("image/avif,image/webp,image/*,*/*;q=0.8", "image/webp"),
            ("image/webp;q=0.2, image/jpeg;q=0.9", "image/jpeg"),
            ("image/jpeg;q=0, image/*;q=0.5", "image/webp"),
            ("image/*", "image/jpeg"),
            ("*/*", "image/jpeg"),
        ] {
            let shown = get(&seed.manager, &path, &[("Accept", accept)]).await;
            assert_eq!(shown.header("content-type"), form, "{accept}");
            assert!(shown.header("vary").to_lowercase().contains("accept"), "{}", shown.header("vary"));
        }
        assert_eq!(seed.manager.get(&path).await.header("content-type"), "image/jpeg");
        let _ = get(&seed.manager, &path, &[("Accept", "text/html")]).await.refused(406, "not_acceptable");
    }

    async fn a_copy_never_changes_and_need_not_be_sent_twice(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let photo = keep(&walk, "image/jpeg", &jpeg(640, 320)).await;
        let mut tags = Vec::new();
        for size in ["list", "screen", "zoom"] {
            for (accept, _) in FORMS {
                let path = format!("/photos/{photo}?size={size}");
                let first = get(&seed.manager, &path, &[("Accept", accept)]).await;
                assert_eq!(first.header("cache-control"), "private, max-age=31536000, immutable");
                let tag = first.header("etag").to_owned();
                assert!(tag.starts_with('"'), "strong: {tag}");
                let _ = developed(&seed.manager, &walk.path).await;
                let later = get(&seed.manager, &path, &[("Accept", accept)]).await;
                assert_eq!((later.bytes == first.bytes, later.header("etag")), (true, tag.as_str()), "{path}");
                for known in [tag.clone(), format!("\"other\", {tag}"), "*".to_owned()] {
                    let headers = [("Accept", accept), ("If-None-Match", known.as_str())];
                    let unchanged = get(&seed.manager, &path, &headers).await;
                    assert_eq!((unchanged.status, unchanged.bytes.len()), (304, 0), "{known}");
                    assert_eq!(unchanged.header("etag"), tag);
                }
                let changed = get(&seed.manager, &path, &[("Accept", accept), ("If-None-Match", "\"other\"")]).await;
                assert_eq!(changed.status, 200);
                tags.push(tag);
            }
        }
        tags.sort();
        tags.dedup();
        assert_eq!(tags.len(), 6, "each size and form has its own tag");
        // Knowing a tag lets nobody in.
        let stranger = get(&world.anonymous, &format!("/photos/{photo}"), &[("If-None-Match", "*")]).await;
        let _ = stranger.refused(401, "unauthenticated");
    }

    async fn figures_and_advice_come_in_the_callers_language(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let sharp = keep(&walk, "image/jpeg", &handsel_tests::fixture()).await;
        let mut dark = Cursor::new(Vec::new());
        DynamicImage::new_rgb8(320, 240).write_to(&mut dark, ImageFormat::Jpeg).unwrap();
        let dark = keep(&walk, "image/jpeg", &dark.into_inner()).await;
        let view = developed(&seed.manager, &walk.path).await;
        let of = |view: &Value, id: &str| {
            view["photos"].as_array().unwrap().iter().find(|p| p["id"] == id).unwrap().clone()
        };
        let facts = of(&view, &sharp)["facts"].clone();
        assert!(facts["sharpness"].as_f64().unwrap() > 1.0, "{facts}");
        assert!((20.0..235.0).contains(&facts["mean"].as_f64().unwrap()), "{facts}");
        assert_eq!(facts["advice"], serde_json::json!([]));
        let advice = of(&view, &dark)["facts"]["advice"].clone();
        assert_eq!(advice[0]["code"], "too_dark", "{advice}");
        assert!(advice[0]["words"].as_str().unwrap().contains("too dark"), "{advice}");
        let german = seed.manager.get(&format!("{}?lang=de", walk.path)).await.expect(200);
        let advice = of(&german, &dark)["facts"]["advice"].clone();
        assert!(advice[0]["words"].as_str().unwrap().contains("zu dunkel"), "{advice}");
        // Advice blocks nothing: the photograph counts like any other.
        assert_eq!(seed.manager.get(&format!("/photos/{dark}")).await.status, 200);
    }
}
