//! A clock that is set while the server runs.

use std::fs::File;
use std::time::{Duration, SystemTime};

use serde_json::json;

use super::samples::heron;
use super::server::Server;

const YEAR: Duration = Duration::from_hours(365 * 24);

/// To the server a check whose file was written a year ago is one that was changed before the clock was set,
/// and the other way round.
#[test]
fn a_clock_that_is_set_loses_no_check_and_no_phone() {
    let server = Server::start();
    let phone = server.phone();
    let now = SystemTime::now();
    let checks = [now - YEAR, now + YEAR].map(|time| {
        let check = server.begin(json!({ "tip": "up" }));
        phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
        let sheet = server
            .archive()
            .join("under-way")
            .join(&check)
            .join("check.json");
        let sheet = File::options().write(true).open(sheet).unwrap();
        sheet.set_modified(time).unwrap();
        check
    });
    // What is left too long goes when another check is begun.
    server.begin(json!({}));
    for check in &checks {
        let state = phone.get(&format!("/api/checks/{check}")).expect(200);
        assert_eq!(state.json()["photos"][0]["state"], "read");
    }
    // A server that was started with the clock wrong throws nothing away at once either.
    server.signal("-KILL");
    let shop = std::sync::Arc::clone(&server.shop);
    drop(server);
    let server = Server::on(shop, "");
    server.begin(json!({}));
    for check in &checks {
        server
            .phone()
            .get(&format!("/api/checks/{check}"))
            .expect(200);
    }
}
