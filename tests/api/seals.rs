//! What is signed is sealed, as the device showed it, and can be checked without the server.

use crate::operations::{Device, fates, lid, signature};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ed25519_dalek::{Signature, Verifier, VerifyingKey};
use handsel_domain::canonical::canonical;
use handsel_tests::{Seed, Walker, World, id, on_each_database};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

fn sha256(text: &str) -> String {
    hex::encode(Sha256::digest(text))
}

/// Checks as anybody would, with nothing but what the bundle holds.
fn verify(text: &Value, signature: &Value, pem: &Value) -> bool {
    let body: String = pem.as_str().unwrap().lines().filter(|l| !l.starts_with("-----")).collect();
    let der = STANDARD.decode(body).unwrap();
    let key = VerifyingKey::from_bytes(der[der.len() - 32..].try_into().unwrap()).unwrap();
    let signature = STANDARD.decode(signature.as_str().unwrap()).unwrap();
    key.verify(text.as_str().unwrap().as_bytes(), &Signature::from_slice(&signature).unwrap()).is_ok()
}

async fn ready(world: &World) -> (Seed, String, Walker) {
    let seed = Seed::plant(world).await;
    let hire = seed.hire("F-1").await;
    let walk = seed.departure(&hire).await;
    walk.usual_departure().await;
    walk.brief("lid").await;
    walk.brief("fill_up").await;
    (seed, hire, walk)
}

/// The record as a device makes it from what it is shown: a second way, by the words of the rules.
fn record(view: &Value) -> Value {
    let moment = |at: &Value| -> Value {
        let Some(at) = at.as_str() else { return Value::Null };
        let at: handsel_domain::time::Instant = at.parse().unwrap();
        let text = at.to_string();
        let (head, tail) = text.trim_end_matches('Z').split_once('.').unwrap_or((text.trim_end_matches('Z'), ""));
        json!(format!("{head}.{:0<3}Z", &tail[..tail.len().min(3)]))
    };
    let or_null = |value: &Value, name: &str| value.get(name).cloned().unwrap_or_default();
    let list = |value: &Value, name: &str| value.get(name).cloned().unwrap_or_else(|| json!([]));
    let sorted = |items: Vec<Value>, name: &str| {
        let mut items = items;
        items.sort_by_key(|item| item[name].as_str().unwrap().to_owned());
        items
    };
    let each = |name: &str, of: &dyn Fn(&Value) -> Value| -> Vec<Value> {
        view[name].as_array().unwrap().iter().map(of).collect()
    };
    let absence = &view["hirer_absent"];
    json!({
        "format": "handsel-record-1", "inspection": view["id"], "leg": view["leg"], "hire": view["hire"],
        "vehicle": view["vehicle"], "template": {"id": view["template"], "version": view["template_version"]},
        "started_at": moment(&view["started_at"]), "handed_over_at": moment(&view["handed_over_at"]),
        "entries": sorted(each("entries", &|e| json!({
            "id": e["id"], "checkpoint": e["checkpoint"], "answer": e["answer"], "photos": list(e, "photos"),
            "note": or_null(e, "note"), "recorded_at": moment(&e["recorded_at"]), "replaces": list(e, "replaces"),
        })), "id"),
        "photos": sorted(each("photos", &|p| json!({
            "id": p["id"], "subject": p["subject"], "taken_at": moment(&p["taken_at"]), "sha256": p["sha256"],
        })), "id"),
        "marks": sorted(each("marks", &|m| json!({
            "id": m["id"], "panel": m["panel"], "kind": m["kind"], "size_mm": m["size_mm"], "depth": m["depth"],
            "viewpoint": m["viewpoint"], "x": m["x"], "y": m["y"], "photos": list(m, "photos"), "note": or_null(m, "note"),
        })), "id"),
        "sightings": sorted(each("sightings", &|s| json!({
            "mark": s["mark"], "size_mm": s["size_mm"], "photos": list(s, "photos"), "note": or_null(s, "note"),
        })), "mark"),
        "briefings": sorted(each("briefings", &|b| json!({
            "topic": b["topic"], "shown_at": moment(&or_null(b, "shown_at")),
            "acknowledged_at": moment(&or_null(b, "acknowledged_at")),
            "override_reason": b.get("overridden").map_or(Value::Null, |o| o["reason"].clone()),
        })), "topic"),
        "absence": if absence.is_null() { Value::Null } else {
            json!({"reason": absence["reason"], "noted_at": moment(&absence["noted_at"])})
        },
    })
}

fn signed(role: &str, hash: &str) -> Value {
    let mut deed = signature(role);
    deed["input"]["record_sha256"] = json!(hash);
    deed
}

on_each_database! {
    async fn a_signed_inspection_is_sealed_as_the_device_showed_it(world: World) {
        let (seed, hire, walk) = ready(&world).await;
        let mut device = Device::new(&seed.manager, &walk.inspection);
        let mark = json!({"panel": "side_left", "kind": "scratch", "size_mm": 12, "depth": "surface", "viewpoint": "left",
            "x": "0.2500", "y": "0.5", "note": "über dem Rad"});
        assert_eq!(device.does(json!({"kind": "mark", "id": id(), "input": mark})).await["outcome"], "applied");
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["seal"], Value::Null);
        let document = record(&view);
        let hash = sha256(&canonical(&document));
        let _ = seed.manager.get(&format!("{}/seal", walk.path)).await.refused(409, "inspection_unsealed");
        let operations = [
            device.operation(signed("hirer", &hash)),
            device.operation(signed("staff", &hash)),
            device.operation(json!({"kind": "sign", "device_time": "2026-03-28T13:40:00Z", "record_sha256": hash, "record": document})),
        ];
        let outcomes = device.outcomes(&operations).await;
        assert_eq!(fates(&outcomes), ["applied"; 3], "{outcomes:?}");

        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["seal"]["record_sha256"], hash.as_str());
        assert_eq!((&view["seal"]["previous"], &view["signatures"][0]["record_sha256"]), (&Value::Null, &json!(hash)));
        let bundle = seed.manager.get(&format!("{}/seal", walk.path)).await.expect(200);
        assert_eq!(bundle["record"], canonical(&document));
        assert_eq!((sha256(bundle["record"].as_str().unwrap()), sha256(bundle["document"].as_str().unwrap())),
            (bundle["record_sha256"].as_str().unwrap().to_owned(), bundle["sha256"].as_str().unwrap().to_owned()));
        assert!(verify(&bundle["document"], &bundle["signature"], &bundle["public_key"]));
        let altered = json!(bundle["document"].as_str().unwrap().replace("Kim", "Tim"));
        assert!(!verify(&altered, &bundle["signature"], &bundle["public_key"]));
        let document: Value = serde_json::from_str(bundle["document"].as_str().unwrap()).unwrap();
        assert_eq!((&document["format"], &document["key"]), (&json!("handsel-seal-1"), &bundle["key_id"]));
        assert_eq!(document["signatures"][1]["role"], "staff");

        // The next seal of the vehicle names this one.
        world.clock.set("2026-04-04T12:30:00Z");
        let back = Walker::start(&seed.manager, &hire, "return").await;
        back.usual_return().await;
        back.both_sign().await;
        let closed = back.sign().await.expect(200);
        assert_eq!(closed["seal"]["previous"], bundle["sha256"]);
    }

    async fn a_record_that_is_not_what_was_signed_is_kept_beside_the_servers_and_closes_nothing(world: World) {
        let (seed, hire, walk) = ready(&world).await;
        let mut device = Device::new(&seed.manager, &walk.inspection);
        let before = record(&seed.manager.get(&walk.path).await.expect(200));
        let hash = sha256(&canonical(&before));
        assert_eq!(device.does(signed("hirer", &hash)).await["outcome"], "applied");
        assert_eq!(device.does(signed("staff", &hash)).await["outcome"], "applied");
        // Meanwhile a colleague answers once more.
        let _ = walk.lid("missing").await.expect(201);
        let now = sha256(&canonical(&record(&seed.manager.get(&walk.path).await.expect(200))));
        let refused = device.does(json!({"kind": "sign", "record_sha256": hash, "record": before})).await;
        assert_eq!((&refused["outcome"], &refused["problem"]["code"]), (&json!("refused"), &json!("seal_differs")));
        assert_eq!(refused["problem"]["record_sha256"], now.as_str());
        // By the route as well, and as often as it is tried; the key is free again.
        let body = json!({"record_sha256": now});
        let path = format!("{}/sign", walk.path);
        let _ = seed.manager.post_once(&path, "k", &body).await.refused(409, "seal_differs");
        let _ = seed.manager.post_once(&path, "k", &body).await.refused(409, "seal_differs");
        assert_eq!(seed.manager.get(&format!("/hires/{hire}")).await.expect(200)["status"], "booked");
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["status"], "open");
        let kept = world.count("SELECT COUNT(*) FROM seal_dispute").await;
        let whole = world.count("SELECT COUNT(*) FROM seal_dispute WHERE device_record IS NOT NULL").await;
        assert_eq!((kept, whole), (3, 1));
        // Signed anew over what there is, it closes.
        for role in ["hirer", "staff"] {
            assert_eq!(device.does(signed(role, &now)).await["outcome"], "applied");
        }
        assert_eq!(device.does(json!({"kind": "sign", "record_sha256": now})).await["outcome"], "applied");
    }

    async fn after_the_seal_there_are_addenda_and_nothing_else(world: World) {
        let (seed, _, walk) = ready(&world).await;
        let mut device = Device::new(&seed.manager, &walk.inspection);
        let addendum = id();
        let words = json!({"words": "The hirer rang: the mirror was loose.", "written_at": "2026-03-28T15:00:00Z"});
        let path = format!("{}/addenda/{addendum}", walk.path);
        let _ = seed.manager.put(&path, &words).await.refused(409, "inspection_unsealed");
        walk.both_sign().await;
        let sealed = walk.sign().await.expect(200);
        let made = seed.manager.put(&path, &words).await.expect(201);
        assert_eq!(seed.manager.put(&path, &words).await.expect(200), made);
        let _ = seed.manager.put(&path, &json!({"words": "other"})).await.refused(409, "id_taken");
        let _ = seed.manager.put(&format!("{}/addenda/{}", walk.path, id()), &json!({"words": " "})).await.refused(422, "values_invalid");
        assert!(verify(&made["document"], &made["signature"], &made["public_key"]));
        let document: Value = serde_json::from_str(made["document"].as_str().unwrap()).unwrap();
        assert_eq!(document["seal"], sealed["seal"]["sha256"]);
        let by_device = json!({"kind": "addendum", "id": id(), "input": {"words": "And the step."}});
        assert_eq!(device.does(by_device).await["outcome"], "applied");

        for deed in [
            lid(&id(), "missing", &[]),
            json!({"kind": "handover", "at": "2026-03-28T14:06:00Z"}),
            signed("hirer", &"ab".repeat(32)),
            json!({"kind": "sign"}),
            crate::uploads::announce(&id(), b"late"),
        ] {
            let refused = device.does(deed).await;
            assert_eq!(refused["problem"]["code"], "inspection_closed", "{refused}");
        }
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["addenda"].as_array().unwrap().len(), 2);
        assert_eq!(view["addenda"][0]["words"], words["words"]);
        assert_eq!(view["seal"], sealed["seal"], "the seal is as it was");
        let bundle = seed.manager.get(&format!("{}/seal", walk.path)).await.expect(200);
        assert_eq!(bundle["addenda"], view["addenda"]);
    }

    async fn a_sealed_inspection_still_takes_the_bytes_it_announced(world: World) {
        let (seed, _, walk) = ready(&world).await;
        let mut device = Device::new(&seed.manager, &walk.inspection);
        let (photo, bytes) = (id(), handsel_tests::jpeg(64, 32));
        assert_eq!(device.does(crate::uploads::announce(&photo, &bytes)).await["outcome"], "applied");
        walk.both_sign().await;
        let sealed = walk.sign().await.expect(200);
        let at = crate::uploads::begun(&seed.manager, &photo, bytes.len()).await;
        assert_eq!(crate::uploads::add(&seed.manager, &at, 0, &bytes).await.status, 204);
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!((&view["photos"][0]["arrived"], &view["seal"]), (&json!(true), &sealed["seal"]));
        let record = seed.manager.get(&format!("{}/seal", walk.path)).await.expect(200)["record"].clone();
        assert!(record.as_str().unwrap().contains(&hex::encode(Sha256::digest(&bytes))));
    }
}
