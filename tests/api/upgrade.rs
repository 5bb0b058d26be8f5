//! The last step of the schema, over what was recorded before it.

use crate::operations::{Device, lid};
use handsel_migrations::Migrator;
use handsel_tests::{Seed, connect, id, jpeg, on_each_database};
use sea_orm_migration::MigratorTrait;

on_each_database! {
    async fn what_was_recorded_before_is_as_it_was(world: World) {
        let seed = Seed::plant(&world).await;
        let walk = seed.departure(&seed.hire("F-1").await).await;
        let _ = walk.lid("missing").await.expect(201);
        let _ = walk.lid("in_order").await.expect(201);
        let photo = format!("{}/photos/{}?of=viewpoint&key=left&taken_at=2026-03-28T10:00:00Z", walk.path, id());
        let _ = seed.manager.upload(&photo, "image/jpeg", &jpeg(64, 32)).await.expect(201);
        let db = connect(&world.database_url).await;
        Migrator::down(&db, Some(1)).await.unwrap();
        Migrator::up(&db, None).await.unwrap();
        db.close().await.unwrap();
        let view = seed.manager.get(&walk.path).await.expect(200);
        assert_eq!(view["photos"][0]["arrived"], true, "what was here has arrived");
        let entries = view["entries"].as_array().unwrap();
        assert_eq!((entries.len(), view["conflicts"].as_array().unwrap().len()), (2, 0), "the last word counts");
        assert_eq!(entries[1]["replaces"], serde_json::json!([entries[0]["id"]]));
        // Devices are taken from here on.
        let mut device = Device::new(&seed.manager, &walk.inspection);
        assert_eq!(device.does(lid(&id(), "missing", &[])).await["outcome"], "applied");
        assert_eq!(seed.manager.get(&walk.path).await.expect(200)["conflicts"].as_array().unwrap().len(), 1);
    }
}
