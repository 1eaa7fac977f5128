//! Ctrl-C and SIGTERM end what is under way first.

use std::thread;

use serde_json::json;

use super::samples::heron;
use super::server::Server;
use crate::support::program::{in_shop, wait_for};

#[test]
fn a_reading_under_way_is_answered_before_the_end() {
    for signal in ["-INT", "-TERM"] {
        let mut server = Server::start();
        let check = server.begin(json!({ "tip": "up" }));
        let (phone, of) = (server.phone(), check.clone());
        let sending = thread::spawn(move || phone.photo(&of, 1, "jaw1.jpg", &heron(1)));
        let folder = server.archive().join("under-way").join(&check);
        wait_for("the photo arrives", || {
            std::fs::read_dir(&folder).unwrap().count() > 1
        });
        server.signal(signal);
        let answer = sending.join().unwrap().expect(200);
        assert_eq!(answer.json()["photos"][0]["state"], "read");
        assert_eq!(server.child.wait().unwrap().code(), Some(0), "{signal}");
    }
}

#[test]
fn an_idle_server_ends_at_once_and_one_alone_has_the_archive() {
    let server = Server::start();
    // A connection that is kept open holds nothing up.
    let _idle = server.phone().connect();
    let second = in_shop(server.shop.path(), "serve --port 0")
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&second.stderr).contains("another"),
        "{second:?}"
    );
    let started = std::time::Instant::now();
    let (status, shop) = server.stop();
    assert_eq!(status, 0);
    // What is under way may take a minute to end.
    assert!(started.elapsed() < std::time::Duration::from_secs(50));
    Server::on(shop, "").phone().get("/").expect(200);
}

#[test]
fn photos_that_are_read_again_are_answered_before_the_end() {
    let mut server = Server::start();
    let check = server.begin(json!({ "tip": "up" }));
    for jaw in 1..=3 {
        server
            .phone()
            .photo(&check, jaw, "jaw.jpg", &heron(jaw))
            .expect(200);
    }
    let (phone, path) = (server.phone(), format!("/api/checks/{check}"));
    let changing = {
        let (phone, path) = (phone.clone(), format!("{path}/settings"));
        thread::spawn(move || phone.json("PATCH", &path, &json!({ "method": "transfer" })))
    };
    wait_for("the change arrives", || {
        phone.get(&path).json()["settings"]["method"] == "transfer"
    });
    server.signal("-INT");
    let state = changing.join().unwrap().expect(200).json();
    let photos = state["photos"].as_array().unwrap();
    assert!(photos.iter().all(|p| p["state"] == "read"), "{state}");
    assert_eq!(server.child.wait().unwrap().code(), Some(0));
}
