//! Photographs: taken as they come, shown upright and plain.

use handsel_tests::{Seed, Walker, held, id, jpeg, on_each_database};
use image::GenericImageView;
use serde_json::{Value, json};

pub(crate) fn place(walk: &Walker, photo: &str, of: &str, key: &str) -> String {
    format!("{}/photos/{photo}?of={of}&key={key}&taken_at=2026-03-28T10:00:00Z", walk.path)
}

on_each_database! {
    async fn a_photograph_is_shown_upright_and_tells_nobody_where_it_was_taken(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let (photo, bytes) = (id(), held(6, &jpeg(640, 320)));
        let path = place(&walk, &photo, "viewpoint", "left");
        let view = seed.manager.upload(&path, "image/jpeg", &bytes).await.expect(201);
        assert_eq!((view["width"].as_u64(), view["height"].as_u64()), (Some(320), Some(640)));
        assert_eq!(view["subject"], json!({"of": "viewpoint", "viewpoint": "left"}));
        assert_eq!(view["bytes"].as_u64(), u64::try_from(bytes.len()).ok());
        assert_eq!(view["received_at"], "2026-03-28T10:00:00Z");

        for (size, longest) in [("list", 320), ("screen", 640), ("zoom", 640)] {
            let shown = seed.manager.get(&format!("/photos/{photo}?size={size}")).await;
            assert_eq!((shown.status, shown.header("content-type")), (200, "image/jpeg"));
            assert!(shown.header("cache-control").starts_with("private"));
            assert!(!shown.bytes.windows(4).any(|w| w == b"Exif"), "metadata is gone");
            let image = image::load_from_memory(&shown.bytes).unwrap();
            assert_eq!(image.dimensions(), (longest / 2, longest));
            assert!(image.get_pixel(longest / 4, longest / 8)[0] > 200, "red at the top");
            assert!(image.get_pixel(longest / 4, longest * 7 / 8)[2] > 200, "blue at the bottom");
        }
        let original = seed.manager.get(&format!("/photos/{photo}/original")).await;
        assert_eq!(original.bytes, bytes);
        let desk = seed.staff(&world, "dan", "desk").await;
        let _ = desk.get(&format!("/photos/{photo}/original")).await.refused(403, "forbidden");
        assert_eq!(desk.get(&format!("/photos/{photo}")).await.status, 200);
        let _ = world.anonymous.get(&format!("/photos/{photo}")).await.refused(401, "unauthenticated");
    }

    async fn a_photograph_sent_again_is_kept_once(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let path = place(&walk, &id(), "checkpoint", "fuel");
        let first = seed.manager.upload(&path, "image/jpeg", &jpeg(64, 32)).await.expect(201);
        // How far the work on it has come is told anew each time; everything else is as it was.
        let same = |view: &Value| -> Vec<Value> {
            ["id", "sha256", "subject", "taken_at", "received_at", "width", "height", "bytes"]
                .into_iter()
                .map(|name| view[name].clone())
                .collect()
        };
        let again = seed.manager.upload(&path, "image/jpeg", &jpeg(64, 32)).await.expect(200);
        assert_eq!(same(&again), same(&first));
        let _ = seed.manager.upload(&path, "image/jpeg", &jpeg(32, 64)).await.refused(409, "id_taken");
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["photos"].as_array().unwrap().len(), 1);
        assert_eq!(same(&view["photos"][0]), same(&first));
    }

    async fn what_is_not_a_photograph_is_refused_by_its_content(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let put = |bytes: Vec<u8>| {
            let (client, path) = (seed.manager.clone(), place(&walk, &id(), "viewpoint", "left"));
            async move { client.upload(&path, "image/jpeg", &bytes).await }
        };
        let _ = put(b"<svg xmlns='http://www.w3.org/2000/svg'/>".to_vec()).await.refused(415, "photo_unsupported");
        let heic = put(b"\0\0\0\x18ftypheic\0\0\0\0heic".to_vec()).await.refused(415, "photo_heic");
        assert!(heic["detail"].as_str().unwrap().contains("HEIC"));
        let mut broken = jpeg(640, 320);
        broken.truncate(300);
        let _ = put(broken).await.refused(422, "photo_truncated");
        let _ = put(vec![0; 25 * 1024 * 1024 + 1]).await.refused(413, "photo_too_large");
        let _ = put(Vec::new()).await.refused(422, "photo_empty");
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["photos"], json!([]));
    }

    async fn a_photograph_is_of_something_asked(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        for (of, key, status, code) in [
            ("viewpoint", "above", 422, "values_invalid"),
            ("checkpoint", "sauna", 422, "values_invalid"),
            ("mark", "not-an-id", 400, "query_invalid"),
            ("sky", "blue", 400, "query_invalid"),
        ] {
            let path = place(&walk, &id(), of, key);
            let _ = seed.manager.upload(&path, "image/jpeg", &jpeg(8, 8)).await.refused(status, code);
        }
        let _ = seed.manager.upload(&place(&walk, &id(), "mark", &id()), "image/jpeg", &jpeg(8, 8)).await.expect(201);
    }

    async fn a_photograph_that_something_refers_to_stays(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let photo = id();
        let _ = seed.manager.upload(&place(&walk, &photo, "checkpoint", "fuel"), "image/jpeg", &jpeg(8, 8)).await.expect(201);
        let entry = json!({
            "checkpoint": "fuel", "answer": {"kind": "fuel", "level": {"gauge": {"part": 8, "of": 8}}}, "photos": [photo],
        });
        let kept = format!("{}/entries/{}", walk.path, id());
        let _ = seed.manager.put(&kept, &entry).await.expect(201);
        let path = format!("{}/photos/{photo}", walk.path);
        let _ = seed.manager.delete(&path).await.refused(409, "photo_in_use");
        let _ = seed.manager.delete(&kept).await.expect(204);
        let _ = seed.manager.delete(&path).await.expect(204);
        let _ = seed.manager.get(&format!("/photos/{photo}")).await.refused(404, "not_found");
    }
}
