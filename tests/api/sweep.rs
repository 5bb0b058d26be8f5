//! What nobody asks for any more is taken away.

use crate::operations::Device;
use crate::uploads::{add, announce, ask, begun};
use handsel::app::sweep::{Swept, sweep};
use handsel_tests::{Seed, id, jpeg, on_each_database};
use std::fs::{self, File};
use std::time::{Duration, SystemTime};

fn count(folder: &std::path::Path) -> usize {
    fs::read_dir(folder).unwrap().count()
}

on_each_database! {
    async fn old_answers_and_unfinished_uploads_are_taken_away_in_time(world: World) {
        let seed = Seed::plant(&world).await;
        let hire = seed.hire("F-1").await;
        let walk = seed.departure(&hire).await;
        let mut device = Device::new(&seed.manager, &walk.inspection);
        let (photo, bytes) = (id(), jpeg(64, 32));
        assert_eq!(device.does(announce(&photo, &bytes)).await["outcome"], "applied");
        let at = begun(&seed.manager, &photo, bytes.len()).await;
        assert_eq!(add(&seed.manager, &at, 0, &bytes[..20]).await.status, 204);
        let hold = serde_json::json!({"id": id(), "kind": "hold_placed", "means": "card", "amount": handsel_tests::money(100)});
        let path = format!("/hires/{hire}/movements");
        let held = seed.manager.post_once(&path, "once", &hold).await.expect(200);
        let (uploads, aside) = (world.folder().join("photos/uploads"), world.folder().join("photos/aside"));
        fs::write(aside.join("1-1"), b"left by a crash").unwrap();

        assert_eq!(sweep(&world.app).await.unwrap(), Swept::default(), "nothing is old yet");
        assert_eq!(seed.manager.post_once(&path, "once", &hold).await.expect(200), held);
        assert_eq!((count(&uploads), count(&aside)), (1, 1));

        // Files are as old as the machine's clock says; the tests' clock stands in another year.
        let march: SystemTime = SystemTime::UNIX_EPOCH + Duration::from_secs(1_774_692_000);
        File::options().write(true).open(aside.join("1-1")).unwrap().set_modified(march).unwrap();
        world.clock.pass(8 * 86_400);
        assert_eq!(sweep(&world.app).await.unwrap(), Swept { answers: 0, uploads: 1, files: 1 });
        assert_eq!((count(&uploads), count(&aside)), (0, 0));
        assert_eq!(ask(&seed.manager, &at).await.status, 404);
        // The photograph is still awaited, and can be sent anew.
        let at = begun(&seed.manager, &photo, bytes.len()).await;
        assert_eq!(add(&seed.manager, &at, 0, &bytes).await.status, 204);

        world.clock.pass(23 * 86_400);
        let swept = sweep(&world.app).await.unwrap();
        assert_eq!((swept.answers, swept.uploads), (1, 1), "{swept:?}");
        // The answer is forgotten, and the movement's own id still keeps it from being made twice.
        let again = seed.manager.post_once(&path, "once", &hold).await;
        assert!(again.status == 409 || again.json()["balances"]["held"]["minor"] == 100, "{again:?}");
        // What devices sent is no such answer: it is kept for good.
        assert_eq!(device.does(announce(&photo, &bytes)).await["outcome"], "applied");
    }
}
