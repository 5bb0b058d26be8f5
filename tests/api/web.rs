//! The app for the browser, and what the server tells about itself.

use handsel_tests::on_each_database;

on_each_database! {
    async fn every_path_that_is_no_file_is_the_app(world: World) {
        for path in ["//", "//hires/018f/return", "//index.html"] {
            let page = world.anonymous.get(path).await;
            assert_eq!((page.status, page.header("content-type")), (200, "text/html"), "{path}");
            assert_eq!(page.header("cache-control"), "no-cache");
            assert!(page.header("content-security-policy").contains("frame-ancestors 'none'"));
        }
        let script = world.anonymous.get("//assets/app-1a2b.js").await;
        assert_eq!((script.status, script.header("content-type")), (200, "text/javascript"));
        assert!(script.header("cache-control").contains("immutable"));
        let _ = world.anonymous.get("//assets/gone.js").await.refused(404, "not_found");
    }

    async fn nothing_outside_the_apps_folder_is_served(world: World) {
        std::fs::write(world.folder().join("secret.txt"), "secret").unwrap();
        for path in ["//..%2fsecret.txt", "//assets/%2e%2e/%2e%2e/secret.txt", "//.env", "//%2e%2e/secret.txt"] {
            let answer = world.anonymous.get(path).await;
            assert_ne!(answer.bytes, b"secret", "{path}");
        }
    }

    async fn requests_are_counted_by_route(world: World) {
        let manager = world.manager().await;
        let _ = manager.get("/depots").await.expect(200);
        let _ = manager.get("/depots").await.expect(200);
        let text = String::from_utf8(world.anonymous.get("//metrics").await.bytes).unwrap();
        let line = "handsel_requests_total{method=\"GET\",route=\"/api/v1/depots\",status=\"200\"} 2";
        assert!(text.contains(line), "{text}");
    }
}
